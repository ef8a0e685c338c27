#include "match/model/gauss.h"

#include <array>

namespace tattletone::match {
namespace {

constexpr double most_z = 8.0;
constexpr int steps_per_unit = 64;

std::array<double, 2 * 8 * steps_per_unit + 2> tabulate() {
    std::array<double, 2 * 8 * steps_per_unit + 2> table{};
    for (std::size_t i = 0; i < table.size(); ++i)
        table[i] = normal_below(static_cast<double>(i) / steps_per_unit - most_z);
    return table;
}

}  // namespace

double quick_normal_below(double z) {
    static const auto table = tabulate();
    if (z <= -most_z) return 0.0;
    if (z >= most_z) return 1.0;
    const double at = (z + most_z) * steps_per_unit;
    const auto index = static_cast<std::size_t>(at);
    const double part = at - static_cast<double>(index);
    return table[index] + part * (table[index + 1] - table[index]);
}

}  // namespace tattletone::match
