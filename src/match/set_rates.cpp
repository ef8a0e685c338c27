#include "match/set_rates.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "board/lines.h"
#include "match/model/card_grid.h"

namespace tattletone::match {
namespace {

constexpr double set_reach_sds = 3.0, set_agree_sds = 4.0;
constexpr int fewest_to_measure = 2;
/// What one oscillator changes by between takes (common practice: a crystal's part in a million or two).
constexpr double between_takes = 2e-6;

struct Offset {
    double by = 0.0, sd = 0.0;  ///< relative
    int lines = 0, lowest = 0;
};

bool is_heard_in(const ObservedTone& tone, const TakeSet& takes) {
    for (std::size_t take = 0; take < tone.heard.size(); ++take)
        if (tone.heard[take] == Heard::yes && takes.has(take)) return true;
    return false;
}

/// By how much most harmonics of `hz` agree that it is off, within `reach`.
std::optional<Offset> offset_of(const Observations& observations, const TakeSet& takes, double hz, double reach) {
    struct Seen {
        double by, sd;
        int order;
    };
    std::vector<Seen> seen;
    for (const ObservedTone& tone : observations.tones) {
        if (!tone.accuses || tone.faint || tone.comb || !tone.steady || !is_heard_in(tone, takes)) continue;
        const int order = static_cast<int>(std::lround(tone.hz / hz));
        if (order < 1 || order > board::most_order) continue;
        const double by = tone.hz / (order * hz) - 1.0;
        if (std::abs(by) < reach) seen.push_back({by, std::hypot(tone.sd_hz / tone.hz, between_takes), order});
    }
    std::optional<Offset> best;
    for (const Seen& middle : seen) {
        double weight = 0.0;
        Offset offset;
        for (const Seen& other : seen) {
            if (std::abs(other.by - middle.by) > set_agree_sds * std::hypot(other.sd, middle.sd)) continue;
            const double own = 1.0 / (other.sd * other.sd);
            offset.by += own * other.by;
            weight += own;
            ++offset.lines;
            offset.lowest = offset.lowest == 0 ? other.order : std::min(offset.lowest, other.order);
        }
        offset.by /= weight;
        offset.sd = 1.0 / std::sqrt(weight);
        if (offset.lines >= fewest_to_measure && (!best || offset.lines > best->lines)) best = offset;
    }
    return best;
}

}  // namespace

void measure_set_rates(Observations& observations) {
    if (!observations.sheet) return;
    const MatchParameters& p = observations.parameters;
    const auto& rates = observations.sheet->rates;
    for (std::size_t rate = 0; rate < rates.size(); ++rate) {
        if (rates[rate].wanders()) continue;
        TakeSet as_declared;
        bool is_set = false;
        for (const Setting& setting : observations.settings) {
            if (setting.sheet.rates[rate].hz == rates[rate].hz)
                as_declared.add(setting.takes);
            else
                is_set = true;
        }
        if (!is_set) continue;
        const double tolerance = 1e-6 * rates[rate].tolerance_ppm, clock = CardGrid::reach_sds * 1e-6 * p.card_sd_ppm;
        const auto own = offset_of(observations, as_declared, rates[rate].hz, tolerance + clock);
        for (Setting& setting : observations.settings) {
            double& hz = setting.sheet.rates[rate].hz;
            if (hz == rates[rate].hz) continue;
            const auto offset =
                offset_of(observations, setting.takes, hz, set_reach_sds * p.setting_sd + tolerance + clock);
            if (!offset) continue;
            setting.set.resize(rates.size());
            setting.set[rate] = {
                std::hypot(offset->sd, between_takes,
                           own ? own->sd : std::hypot(tolerance / p.tolerance_sds, 1e-6 * p.card_sd_ppm)),
                offset->lowest};
            hz *= (1.0 + offset->by) / (1.0 + (own ? own->by : 0.0));
        }
    }
}

}  // namespace tattletone::match
