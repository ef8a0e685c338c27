#include "match/declared_pulses.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

#include "base/text/number.h"
#include "match/model/card_grid.h"

namespace tattletone::match {
namespace {

constexpr double told_below_hz = 200.0;
// Clocks tick, feet and music keep time: below, two multiples have to agree, and less is concluded.
constexpr double rhythms_below_hz = 10.0, rhythm_share = 0.2;
constexpr double alike_sds = 4.0, of_mains_share = 3e-3;
constexpr int multiples = 8;
constexpr double range_of_strays = 6.2;  // ln(400 Hz / 0.8 Hz)
constexpr double least_odds = 2.0;

/// Lamps and whatever runs on the mains.
bool of_mains(double hz) {
    for (const double mains_hz : {50.0, 60.0}) {
        const double order = std::round(hz / mains_hz);
        if (order >= 1.0 && std::abs(hz - order * mains_hz) < of_mains_share * hz) return true;
    }
    return false;
}

struct Fit {
    double x = 0.0, sd = 0.0;  ///< relative to the declared rate
    int lines = 0;
};

/// The most multiples that agree on one deviation, the surest of those with as many.
std::optional<Fit> fit_of(const board::Rate& rate, const std::vector<tones::PulseLine>& pulses, double reach) {
    std::optional<Fit> best;
    const auto place = [&](const tones::PulseLine& pulse, int n) {
        return Fit{pulse.hz / (n * rate.hz) - 1.0, pulse.hz_sd / (n * rate.hz), 1};
    };
    for (const tones::PulseLine& anchor : pulses)
        for (int n = 1; n <= multiples; ++n) {
            const Fit at = place(anchor, n);
            if (std::abs(at.x) > reach + alike_sds * at.sd) continue;
            Fit fit{0.0, 0.0, 0};
            double weight = 0.0;
            bool fundamental = false;
            for (int k = 1; k <= multiples; ++k)
                for (const tones::PulseLine& pulse : pulses) {
                    const Fit other = place(pulse, k);
                    if (std::abs(other.x - at.x) > alike_sds * std::hypot(other.sd, at.sd)) continue;
                    const double own = 1.0 / (other.sd * other.sd);
                    fit.x += own * other.x;
                    weight += own;
                    ++fit.lines;
                    fundamental = fundamental || k == 1;
                    break;
                }
            fit.x /= weight;
            fit.sd = 1.0 / std::sqrt(weight);
            if (fit.lines < (fundamental && rate.hz >= rhythms_below_hz ? 1 : 2)) continue;
            if (std::abs(fit.x) > reach + alike_sds * fit.sd) continue;
            if (!best || fit.lines > best->lines || (fit.lines == best->lines && fit.sd < best->sd)) best = fit;
        }
    return best;
}

/// Does it run in that take, as far as is said?
bool runs(const board::BoardSheet& sheet, const board::Rate& rate, const tones::Take& take) {
    for (const tones::Change& change : take.changes)
        if (change.what == rate.full_name || change.what == sheet.parts[static_cast<std::size_t>(rate.part)].id)
            return false;
    return take.state.empty() || sheet.active(rate, sheet.state_index(take.state));
}

}  // namespace

std::vector<PulsedRate> declared_pulses(const board::BoardSheet& sheet, const tones::UnitTones& unit,
                                        const MatchParameters& p) {
    std::vector<PulsedRate> told;
    for (const board::Rate& rate : sheet.rates) {
        if (rate.wanders() || rate.hz > told_below_hz || of_mains(rate.hz)) continue;
        const double reach = 1e-6 * (rate.tolerance_ppm + CardGrid::reach_sds * p.card_sd_ppm);
        std::optional<Fit> best;
        double strays = 0.0;
        bool elsewhere = false;
        for (const tones::Take& take : unit.takes) {
            std::vector<tones::PulseLine> pulses = take.found.pulses;
            std::erase_if(pulses, [](const tones::PulseLine& pulse) { return of_mains(pulse.hz); });
            const auto fit = fit_of(rate, pulses, reach);
            if (!fit) continue;
            elsewhere = elsewhere || !runs(sheet, rate, take);
            if (best && best->lines >= fit->lines) continue;
            best = fit;
            strays = static_cast<double>(pulses.size()) / static_cast<double>(fit->lines);
        }
        if (!best || elsewhere) continue;
        const double window = 2.0 * (reach + alike_sds * best->sd);
        const double chance = std::max(p.pulse_stray, strays * window / range_of_strays);
        const double odds =
            (rate.hz < rhythms_below_hz ? rhythm_share : 1.0) * std::min(p.pulse_share / chance, p.pulse_odds_limit);
        if (odds < least_odds) continue;
        PulsedRate pulsed;
        pulsed.rate = rate.full_name;
        pulsed.hz = rate.hz * (1.0 + best->x);
        pulsed.hz_sd = rate.hz * std::hypot(best->sd, 1e-6 * p.card_sd_ppm);
        pulsed.lines = best->lines;
        pulsed.odds = odds;
        told.push_back(std::move(pulsed));
    }
    return told;
}

std::map<std::string, double> pulse_odds(const std::vector<PulsedRate>& pulsed) {
    std::map<std::string, double> odds;
    for (const PulsedRate& one : pulsed) odds[one.rate] = one.odds;
    return odds;
}

void tell_pulses(Findings& findings) {
    for (const PulsedRate& pulsed : findings.pulses)
        for (Suspect& suspect : findings.suspects) {
            if (suspect.rate != pulsed.rate) continue;
            char words[128];
            std::snprintf(words, sizeof words, "the noise from 2 to 10 kHz comes and goes at its pace, %s Hz",
                          base::with_uncertainty(pulsed.hz, pulsed.hz_sd).c_str());
            suspect.reasons.push_back(words);
        }
}

}  // namespace tattletone::match
