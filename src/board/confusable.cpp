#include "board/confusable.h"

#include <algorithm>
#include <cmath>

namespace tattletone::board {
namespace {

constexpr int most_multiple = 16;

bool emits(Shape shape, int order) {
    switch (shape) {
        case Shape::pulse:
            return true;
        case Shape::square:
            return order % 2 == 1;
        case Shape::sine:
            return order <= 2;
    }
    return true;
}

// The values of `rate` at which it can pass for `other` · multiple.
struct Shared {
    double low, high;
    double middle() const { return std::sqrt(low * high); }
};

Shared shared_values(const Rate& rate, const Rate& other, int multiple) {
    return {std::max(rate.lowest_hz(), multiple * other.lowest_hz()),
            std::min(rate.highest_hz(), multiple * other.highest_hz())};
}

bool in_band(double hz, const LineLimits& limits) {
    return hz >= limits.low_hz && hz <= limits.high_hz;
}

std::optional<int> lowest_order(Shape shape, double hz, const LineLimits& limits) {
    for (int n = 1; n <= most_order; ++n)
        if (emits(shape, n) && in_band(n * hz, limits)) return n;
    return std::nullopt;
}

// The integer that the ratio of two rates can take within their limits: the nearest to its declared
// value, and the lowest where one of them wanders.
std::optional<int> possible_multiple(const Rate& rate, const Rate& other) {
    const double first = std::max(1.0, std::ceil(rate.lowest_hz() / other.highest_hz()));
    const double last = std::min<double>(most_multiple, std::floor(rate.highest_hz() / other.lowest_hz()));
    if (first > last) return std::nullopt;
    if (rate.wanders() || other.wanders()) return static_cast<int>(first);
    return static_cast<int>(std::clamp(std::round(rate.hz / other.hz), first, last));
}

std::optional<TellingLine> telling_line(const BoardSheet& sheet, const ConfusablePair& pair, const Shared& shared,
                                        const LineLimits& limits) {
    const Rate& rate = sheet.rates[static_cast<std::size_t>(pair.rate)];
    const Rate& other = sheet.rates[static_cast<std::size_t>(pair.other)];
    const double unit = 1.0 / pair.multiple;
    for (int n = 1; n <= most_order; ++n)
        if (n % pair.multiple != 0 && emits(other.shape, n) && in_band(n * unit * shared.middle(), limits))
            return TellingLine{pair.other, n, n * unit * shared.low, n * unit * shared.high, false};
    for (int n = 1; n <= most_order && in_band(n * shared.low, {0.0, limits.high_hz}); ++n) {
        if (!in_band(n * shared.middle(), limits)) continue;
        const bool rate_has = emits(rate.shape, n), other_has = emits(other.shape, n * pair.multiple);
        if (rate_has == other_has) continue;
        return TellingLine{rate_has ? pair.rate : pair.other, rate_has ? n : n * pair.multiple, n * shared.low,
                           n * shared.high, true};
    }
    return std::nullopt;
}

}  // namespace

std::vector<ConfusablePair> confusable_pairs(const BoardSheet& sheet, const LineLimits& limits) {
    std::vector<ConfusablePair> pairs;
    const int count = static_cast<int>(sheet.rates.size());
    const auto at = [&](int index) -> const Rate& { return sheet.rates[static_cast<std::size_t>(index)]; };
    for (int a = 0; a < count; ++a) {
        for (int b = a + 1; b < count; ++b) {
            ConfusablePair pair;
            pair.rate = a;
            pair.other = b;
            auto multiple = possible_multiple(at(a), at(b));
            if (!multiple) {
                std::swap(pair.rate, pair.other);
                multiple = possible_multiple(at(b), at(a));
            }
            if (!multiple) continue;
            const Rate &rate = at(pair.rate), &other = at(pair.other);
            const Shared shared = shared_values(rate, other, *multiple);
            const auto order = lowest_order(rate.shape, shared.middle(), limits);
            if (!order) continue;
            pair.multiple = *multiple;
            pair.at_hz = *order * shared.middle();
            pair.at_order = *order;
            pair.by_drift = rate.wanders() != other.wanders();
            pair.line = telling_line(sheet, pair, shared, limits);
            for (int state = 0; state < static_cast<int>(sheet.states.size()); ++state)
                if (sheet.active(rate, state) != sheet.active(other, state)) pair.states.push_back(state);
            pairs.push_back(std::move(pair));
        }
    }
    return pairs;
}

}  // namespace tattletone::board
