#include "board/confusable.h"

#include <algorithm>
#include <cmath>

namespace tattletone {
namespace {

constexpr int most_multiple = 16;
constexpr int highest_order = 64;

bool emits(Shape shape, int order) {
    switch (shape) {
        case Shape::pulse: return true;
        case Shape::square: return order % 2 == 1;
        case Shape::sine: return order <= 2;
    }
    return true;
}

bool in_band(const Rate& rate, int order, const LineLimits& limits) {
    return order * rate.highest_hz() >= limits.low_hz && order * rate.lowest_hz() <= limits.high_hz;
}

std::optional<int> lowest_order(const Rate& rate, const LineLimits& limits) {
    for (int n = 1; n <= highest_order; ++n)
        if (emits(rate.shape, n) && in_band(rate, n, limits)) return n;
    return std::nullopt;
}

// The integer that the ratio of two rates can take within their limits, nearest to its nominal value.
std::optional<int> possible_multiple(const Rate& rate, const Rate& other) {
    const double low = rate.lowest_hz() / other.highest_hz();
    const double high = rate.highest_hz() / other.lowest_hz();
    const double first = std::max(1.0, std::ceil(low));
    if (first > high || first > most_multiple) return std::nullopt;
    const double nearest = std::round(rate.nominal_hz() / other.nominal_hz());
    return static_cast<int>(std::clamp(nearest, first, std::min(std::floor(high), 16.0)));
}

std::optional<TellingLine> telling_line(const BoardSheet& sheet, const ConfusablePair& pair,
                                        const LineLimits& limits) {
    const Rate& rate = sheet.rates[static_cast<std::size_t>(pair.rate)];
    const Rate& other = sheet.rates[static_cast<std::size_t>(pair.other)];
    const auto line = [](int index, const Rate& whose, int order, bool by_shape) {
        return TellingLine{index, order, order * whose.lowest_hz(), order * whose.highest_hz(), by_shape};
    };
    for (int n = 1; n <= highest_order; ++n)
        if (n % pair.multiple != 0 && emits(other.shape, n) && in_band(other, n, limits))
            return line(pair.other, other, n, false);
    for (int n = 1; n <= highest_order; ++n) {
        const bool rate_has = emits(rate.shape, n) && in_band(rate, n, limits);
        const bool other_has = emits(other.shape, n * pair.multiple) &&
                               in_band(other, n * pair.multiple, limits);
        if (rate_has != other_has)
            return rate_has ? line(pair.rate, rate, n, true)
                            : line(pair.other, other, n * pair.multiple, true);
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
            ConfusablePair pair{a, b, 1, 0.0, std::nullopt, false, {}};
            auto multiple = possible_multiple(at(a), at(b));
            if (!multiple) {
                std::swap(pair.rate, pair.other);
                multiple = possible_multiple(at(b), at(a));
            }
            if (!multiple) continue;
            const Rate &rate = at(pair.rate), &other = at(pair.other);
            const auto order = lowest_order(rate, limits);
            if (!order || !lowest_order(other, limits)) continue;
            pair.multiple = *multiple;
            pair.at_hz = *order * rate.nominal_hz();
            pair.by_drift = rate.wanders() != other.wanders();
            pair.line = telling_line(sheet, pair, limits);
            for (int state = 0; state < static_cast<int>(sheet.states.size()); ++state)
                if (sheet.active(rate, state) != sheet.active(other, state)) pair.states.push_back(state);
            pairs.push_back(std::move(pair));
        }
    }
    return pairs;
}

}  // namespace tattletone
