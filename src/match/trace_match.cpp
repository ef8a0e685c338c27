#include "match/trace_match.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/text/lower_case.h"
#include "match/diagnose.h"
#include "match/model/gauss.h"
#include "match/model/source.h"

namespace tattletone::match {
namespace {

struct WeighedCause {
    double density = 0.0, multiple = 1.0;  ///< of ln hz, with its share
};

double at_rate(const board::Rate& rate, double hz) {
    return rate.wanders() ? std::log(hz) : hz / rate.hz - 1.0;
}

WeighedCause weighed(const board::Rate& rate, const DeviationPrior& prior, const TraceLine& line,
                     const MatchParameters& p) {
    WeighedCause best;
    double sum = 0.0, most = 0.0;
    for (const auto& [multiple, share] :
         {std::pair{1.0, 1.0 - p.trace_doubled - p.trace_halved}, {2.0, p.trace_doubled}, {0.5, p.trace_halved}}) {
        const double density =
            share * smeared_density(prior, at_rate(rate, line.hz / multiple), line.sd() / line.hz, 0.0);
        sum += density;
        if (density <= most) continue;
        most = density;
        best.multiple = multiple;
    }
    best.density = sum;
    return best;
}

std::vector<DeviationPrior> priors_of(const board::BoardSheet& sheet, const MatchParameters& parameters) {
    std::vector<DeviationPrior> priors;
    for (const board::Rate& rate : sheet.rates) priors.push_back(deviation_prior_of(rate, parameters, {}));
    return priors;
}

bool is_on(const board::BoardSheet& sheet, const board::Rate& rate, int rail) {
    return rail >= 0 && sheet.parts[static_cast<std::size_t>(rate.part)].rail == rail;
}

std::vector<TraceCause> all_causes(const board::BoardSheet& sheet, const TraceLine& line,
                                   const MatchParameters& parameters) {
    const auto priors = priors_of(sheet, parameters);
    std::vector<double> shares;
    for (const board::Rate& rate : sheet.rates) {
        const int rail = sheet.parts[static_cast<std::size_t>(rate.part)].rail;
        shares.push_back(line.rail < 0 || rail < 0 ? parameters.trace_unknown_rail
                         : rail == line.rail       ? 1.0
                                                   : parameters.trace_other_rail);
    }
    const double all = std::accumulate(shares.begin(), shares.end(), 0.0);
    double total = parameters.trace_undeclared / parameters.trace_log_band;
    std::vector<TraceCause> causes;
    for (std::size_t k = 0; k < sheet.rates.size(); ++k) {
        const board::Rate& rate = sheet.rates[k];
        const WeighedCause fit = weighed(rate, priors[k], line, parameters);
        TraceCause cause;
        cause.rate = rate.full_name;
        cause.part_name = sheet.parts[static_cast<std::size_t>(rate.part)].name;
        cause.multiple = fit.multiple;
        cause.probability = (1.0 - parameters.trace_undeclared) * shares[k] / all * fit.density;
        cause.expected_hz =
            fit.multiple * (rate.wanders() ? std::clamp(line.hz / fit.multiple, rate.hz_min, rate.hz_max) : rate.hz);
        cause.offset_hz = line.hz - cause.expected_hz;
        cause.on_rail = is_on(sheet, rate, line.rail);
        total += cause.probability;
        causes.push_back(cause);
    }
    for (TraceCause& cause : causes) cause.probability /= total;
    return causes;
}

}  // namespace

double TraceLine::sd() const {
    return std::hypot(hz_sd, hz * clock_ppm * 1e-6);
}

std::vector<TraceCause> causes_of(const board::BoardSheet& sheet, const TraceLine& line,
                                  const MatchParameters& parameters) {
    std::vector<TraceCause> causes = all_causes(sheet, line, parameters);
    std::erase_if(causes, [](const TraceCause& cause) { return cause.probability < 0.01; });
    std::stable_sort(causes.begin(), causes.end(),
                     [](const TraceCause& a, const TraceCause& b) { return a.probability > b.probability; });
    return causes;
}

std::optional<FoldedRate> folded_rate(const board::BoardSheet& sheet, const TraceLine& line, double increment_seconds) {
    const double sampling = 1.0 / increment_seconds;
    for (const board::Rate& rate : sheet.rates) {
        const int rail = sheet.parts[static_cast<std::size_t>(rate.part)].rail;
        if (line.rail >= 0 && rail >= 0 && rail != line.rail) continue;
        for (const double multiple : {1.0, 2.0}) {
            const double hz = multiple * (rate.wanders() ? rate.hz_min : rate.hz);
            if (hz <= 0.5 * sampling) continue;
            if (rate.wanders()) return FoldedRate{rate.full_name, hz};
            const double seen = std::abs(std::remainder(hz, sampling));
            const double sd = std::hypot(line.hz_sd, hz * 1e-6 * std::hypot(0.5 * rate.tolerance_ppm, line.clock_ppm));
            if (std::abs(seen - line.hz) <= 3.0 * sd) return FoldedRate{rate.full_name, hz};
        }
    }
    return {};
}

void add_trace(CaseEvidence& evidence, const board::BoardSheet& sheet, const TraceLine& line,
               const MatchParameters& parameters) {
    const std::vector<TraceCause> causes = all_causes(sheet, line, parameters);
    evidence.traced_rail = line.rail;
    for (std::size_t k = 0; k < sheet.rates.size(); ++k) {
        const board::Rate& rate = sheet.rates[k];
        RateSeen seen;
        seen.x = at_rate(rate, line.hz / causes[k].multiple);
        const bool loose = rate.wanders() || rate.tolerance_ppm * 1e-6 >= parameters.loose_tolerance;
        const double moves = rate.wanders() ? parameters.trace_moves_wandering
                             : loose        ? parameters.trace_moves_loose
                                            : parameters.model_error_ppm * 1e-6;
        seen.sd = std::hypot(line.sd() / line.hz, moves);
        seen.mass = (1.0 - parameters.trace_astray) * causes[k].probability;
        seen.odds_factor = 1.0 + (parameters.trace_odds_factor - 1.0) * causes[k].probability;
        if (causes[k].probability > 1e-3) evidence.seen_in_trace[rate.full_name] = seen;
    }
}

std::vector<TraceTone> tones_beside(const tones::UnitTones& unit, const TraceLine& line, double card_sd_ppm) {
    constexpr double near = 0.005, same_sds = 3.0;
    std::vector<TraceTone> beside;
    for (const tones::UnitTone& unit_tone : unit.tones) {
        const tones::Tone& tone = unit_tone.tone;
        if (tone.origin != tones::Origin::board && tone.origin != tones::Origin::unsure) continue;
        TraceTone found;
        found.tone = unit_tone.id;
        const double ratio = tone.hz / line.hz;
        found.multiple = ratio < 0.75 ? 0.5 : std::round(ratio);
        found.difference_hz = tone.hz - found.multiple * line.hz;
        found.sd_hz = std::hypot(tone.hz_sd, found.multiple * line.sd(), tone.hz * card_sd_ppm * 1e-6);
        found.same = std::abs(found.difference_hz) <= same_sds * found.sd_hz;
        found.by_chance =
            std::min(1.0, 2.0 * same_sds * found.sd_hz / (found.multiple < 1.0 ? 0.5 * line.hz : line.hz));
        if (found.same || std::abs(found.difference_hz) <= near * tone.hz) beside.push_back(found);
    }
    return beside;
}

Findings diagnose_with_trace(const board::BoardSheet* sheet, tones::UnitTones unit, const MatchParameters& parameters,
                             CaseEvidence evidence, TraceJoin& join) {
    join.tones = tones_beside(unit, join.line, parameters.card_sd_ppm);
    if (sheet == nullptr) return diagnose(nullptr, std::move(unit), parameters);
    join.causes = causes_of(*sheet, join.line, parameters);
    for (const Suspect& suspect : diagnose(sheet, unit, parameters, evidence).suspects)
        join.without[suspect.rate] = suspect.probability;
    add_trace(evidence, *sheet, join.line, parameters);
    return diagnose(sheet, std::move(unit), parameters, evidence);
}

std::optional<int> rail_named(const board::BoardSheet& sheet, const std::string& name) {
    const std::string wanted = base::lower_case(name);
    std::optional<int> found;
    for (std::size_t i = 0; i < sheet.rails.size(); ++i) {
        const std::string id = base::lower_case(sheet.rails[i].id);
        if (id == wanted) return static_cast<int>(i);
        if (id.empty() || wanted.find(id) == std::string::npos) continue;
        if (found) return {};
        found = static_cast<int>(i);
    }
    return found;
}

}  // namespace tattletone::match
