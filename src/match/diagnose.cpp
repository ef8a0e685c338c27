#include "match/diagnose.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "match/experiments/experiments.h"
#include "match/explain/outcomes.h"
#include "match/explain/reasons.h"
#include "match/explain/supply_reason.h"
#include "match/model/faint.h"
#include "match/model/parameters.h"
#include "match/search/bounds.h"
#include "match/search/joint_posterior.h"

namespace tattletone::match {
namespace {

constexpr double named_from = 0.5, least_told = 0.01, least_faint = 0.1;
constexpr double same_explanation = 0.01;
constexpr double ppm = 1e-6;

// Recordings differ in how many stray tones they hold: one that has more than usual is judged by its own
// density. Never by less than the usual one, so that a clean recording does not turn a lone tone in a
// wide window into proof.
double clutter_of(const Observations& observations, double single_tones) {
    constexpr double prior_weight = 2.0;
    const MatchParameters& p = observations.parameters;
    const double split = std::clamp(1000.0, observations.limits.low_hz,
                                    std::max(observations.limits.low_hz, observations.limits.high_hz));
    const double usual = (p.room_per_octave + p.background_per_octave) *
                         (p.background_low_factor * std::log2(split / observations.limits.low_hz) +
                          std::max(0.0, std::log2(observations.limits.high_hz / split)));
    return std::max(1.0, (prior_weight + single_tones) / (prior_weight + usual));
}

double expected_hz(const Source& source, const LineMatch& line_match, double x) {
    if (line_match.line < 0) {
        // `x` is that of the source's best explanation; this line may belong to another.
        const double own = std::abs(line_match.x - x) < same_explanation ? x : line_match.x;
        return (line_match.kind == board::LineKind::subharmonic ? 0.5 : 1.0) * line_match.order * std::exp(own);
    }
    return source.lines[static_cast<std::size_t>(line_match.line)].at_zero_hz;
}

Explanation explanation_of(const Observations& observations, const std::vector<Source>& sources,
                           const JointPosterior& outcome, const Claim& claim) {
    const auto index = static_cast<std::size_t>(claim.source);
    const Source& source = sources[index];
    Explanation explanation;
    explanation.rate = observations.sheet->rates[static_cast<std::size_t>(source.rate)].full_name;
    explanation.kind = claim.line_match.kind;
    explanation.order = claim.line_match.order;
    if (claim.line_match.line >= 0) {
        const int other = source.lines[static_cast<std::size_t>(claim.line_match.line)].other;
        if (other >= 0) explanation.other = observations.sheet->rates[static_cast<std::size_t>(other)].full_name;
    }
    explanation.expected_hz = expected_hz(source, claim.line_match, outcome.sources[index].x);
    explanation.offset_hz = observations.tones[static_cast<std::size_t>(claim.tone)].hz - explanation.expected_hz;
    explanation.probability = claim.probability;
    return explanation;
}

// A beat is two rates' doing, and either may have been taken for its source: one explanation.
void join_beats(std::vector<Explanation>& list) {
    for (std::size_t i = 0; i < list.size(); ++i)
        for (std::size_t j = list.size(); j-- > i + 1;) {
            if (list[i].kind != board::LineKind::beat || list[j].kind != board::LineKind::beat ||
                list[i].order != list[j].order || list[i].rate != list[j].other || list[i].other != list[j].rate)
                continue;
            list[i].probability += list[j].probability;
            list.erase(list.begin() + static_cast<std::ptrdiff_t>(j));
        }
}

/// Probability of beats that another rate was taken for the source of.
double as_partner(const std::vector<Source>& sources, const JointPosterior& outcome, int rate) {
    std::map<int, double> by_tone;
    for (const Claim& claim : outcome.claims) {
        const Source& source = sources[static_cast<std::size_t>(claim.source)];
        if (claim.line_match.kind == board::LineKind::beat && claim.line_match.line >= 0 &&
            source.lines[static_cast<std::size_t>(claim.line_match.line)].other == rate)
            by_tone[claim.tone] += claim.probability;
    }
    double most = 0.0;
    for (const auto& [tone, probability] : by_tone) most = std::max(most, probability);
    return most;
}

bool takes_part(const Explanation& explanation, const std::string& rate) {
    return explanation.rate == rate || (explanation.kind == board::LineKind::beat && explanation.other == rate);
}

void tell_explanations(const Observations& observations, const std::vector<Source>& sources,
                       const JointPosterior& outcome, Findings& findings) {
    for (const Claim& claim : outcome.claims) {
        if (sources[static_cast<std::size_t>(claim.source)].rate < 0 || claim.probability < least_told) continue;
        const int id = findings.unit.tones[static_cast<std::size_t>(claim.tone)].id;
        findings.explained_by[id].push_back(explanation_of(observations, sources, outcome, claim));
    }
    for (auto& [id, list] : findings.explained_by) {
        join_beats(list);
        std::sort(list.begin(), list.end(),
                  [](const Explanation& a, const Explanation& b) { return a.probability > b.probability; });
        double sum = 0.0;
        for (const Explanation& explanation : list) sum += explanation.probability;
        if (sum > 1.0)
            for (Explanation& explanation : list) explanation.probability /= sum;
    }
}

void tell_suspects(const Observations& observations, const std::vector<Source>& sources, const JointPosterior& outcome,
                   const CardGrid& grid, Findings& findings) {
    for (std::size_t i = 0; i < sources.size(); ++i) {
        if (sources[i].rate < 0) continue;
        const double sings = outcome.sources[i].sings + as_partner(sources, outcome, sources[i].rate);
        if (sings < least_told) continue;
        const board::Rate& rate = observations.sheet->rates[static_cast<std::size_t>(sources[i].rate)];
        Suspect suspect;
        suspect.rate = rate.full_name;
        if (rate.part >= 0 && rate.part < static_cast<int>(observations.sheet->parts.size()))
            suspect.part_name = observations.sheet->parts[static_cast<std::size_t>(rate.part)].name;
        suspect.probability = std::min(1.0, sings);
        for (const auto& [id, list] : findings.explained_by) {
            double share = 0.0;
            for (const Explanation& explanation : list)
                if (takes_part(explanation, suspect.rate)) share += explanation.probability;
            if (share >= 0.5) suspect.tones.push_back(id);
        }
        const SourcePosterior& found = outcome.sources[i];
        suspect.outside_tolerance =
            !found.best.empty() && !found.hidden && keeps_tolerance(sources[i], found, outcome) < 0.5;
        suspect.reasons = reasons_for(observations, findings.unit, sources, outcome, static_cast<int>(i), grid);
        if (suspect.reasons.empty()) suspect.reasons.push_back("takes part in a beat with another rate");
        const std::string supply =
            supply_reason(*observations.sheet, sources[i].rate, findings.unit, observations.parameters.traced_rail);
        if (!supply.empty()) suspect.reasons.push_back(supply);
        findings.suspects.push_back(std::move(suspect));
    }
    std::stable_sort(findings.suspects.begin(), findings.suspects.end(),
                     [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
}

void tell_attributions(const Observations& observations, const std::vector<Source>& sources,
                       const JointPosterior& outcome, Findings& findings) {
    for (const JointAttribution& attribution : outcome.attributions) {
        Attribution told;
        told.probability = attribution.probability;
        for (const Claim& claim : attribution.claims) {
            const Source& source = sources[static_cast<std::size_t>(claim.source)];
            if (source.rate < 0) continue;
            Attribution::Made made;
            made.tone = findings.unit.tones[static_cast<std::size_t>(claim.tone)].id;
            made.rate = source.rate;
            made.kind = claim.line_match.kind;
            made.order = claim.line_match.order;
            made.slope_hz = observations.tones[static_cast<std::size_t>(claim.tone)].hz;
            if (claim.line_match.line >= 0) {
                const ExpectedLine& line = source.lines[static_cast<std::size_t>(claim.line_match.line)];
                made.other = line.other;
                made.slope_hz = line.slope_hz;
                made.other_slope_hz = line.other_slope_hz;
            }
            if (made.kind == board::LineKind::beat && made.other < made.rate) {
                std::swap(made.rate, made.other);
                std::swap(made.slope_hz, made.other_slope_hz);
            }
            told.made.push_back(made);
        }
        const auto same = std::find_if(findings.attributions.begin(), findings.attributions.end(),
                                       [&](const Attribution& known) { return known.made == told.made; });
        if (same != findings.attributions.end())
            same->probability += told.probability;
        else
            findings.attributions.push_back(std::move(told));
    }
    std::stable_sort(findings.attributions.begin(), findings.attributions.end(),
                     [](const Attribution& a, const Attribution& b) { return a.probability > b.probability; });
}

void tell_card(const Observations& observations, const std::vector<Source>& sources, const JointPosterior& outcome,
               Findings& findings) {
    findings.card_error_ppm = outcome.card_mean / ppm;
    findings.card_error_ppm_sd = outcome.card_sd / ppm;
    for (const int source : pinning(observations, sources, outcome))
        findings.card_error_from.push_back(
            observations.sheet->rates[static_cast<std::size_t>(sources[static_cast<std::size_t>(source)].rate)]
                .full_name);
}

JointPosterior weigh(Observations& observations, const std::vector<Source>& sources, const CardGrid& grid) {
    const auto board_tones = std::count_if(observations.tones.begin(), observations.tones.end(),
                                           [](const ObservedTone& tone) { return tone.of_board; });
    const double clutter = clutter_of(observations, static_cast<double>(board_tones));
    set_clutter(observations, clutter);
    JointPosterior outcome = weigh_together(observations, sources, grid);
    const double revised = clutter_of(observations, outcome.single_tones);
    if (std::abs(std::log(revised / clutter)) > 0.05) {
        set_clutter(observations, revised);
        outcome = weigh_together(observations, sources, grid);
    }
    return outcome;
}

// With those faint lines that a declared rate may well make.
tones::UnitTones add_faint(const board::BoardSheet& sheet, tones::UnitTones unit, const MatchParameters& parameters,
                           const CardGrid& grid) {
    const std::size_t before = unit.tones.size();
    tones::UnitTones all = with_faint(sheet, std::move(unit), parameters);
    if (all.tones.size() == before) return all;
    Observations observations = observe(&sheet, all, parameters);
    const auto sources = sources_of(observations);
    std::vector<double> claimed(all.tones.size(), 0.0);
    for (const Claim& claim : weigh(observations, sources, grid).claims)
        if (sources[static_cast<std::size_t>(claim.source)].rate >= 0)
            claimed[static_cast<std::size_t>(claim.tone)] += claim.probability;
    std::vector<char> kept;
    for (const double probability : claimed) kept.push_back(probability >= least_faint);
    return without_faint(std::move(all), kept);
}

}  // namespace

Findings diagnose(const board::BoardSheet* sheet, tones::UnitTones unit) {
    static const MatchParameters parameters = fitted_parameters();
    return diagnose(sheet, std::move(unit), parameters);
}

Findings diagnose(const board::BoardSheet* sheet, tones::UnitTones unit, const MatchParameters& parameters) {
    Findings findings;
    const CardGrid grid(parameters.card_sd_ppm);
    findings.unit = sheet ? add_faint(*sheet, std::move(unit), parameters, grid) : std::move(unit);
    findings.card_error_ppm_sd = parameters.card_sd_ppm;
    if (sheet) findings.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);

    Observations observations = observe(sheet, findings.unit, parameters);
    const auto board_tones = std::count_if(observations.tones.begin(), observations.tones.end(),
                                           [](const ObservedTone& tone) { return tone.of_board; });
    if (sheet) findings.notices = sheet_notices(observations);
    if (sheet && !observations.tones.empty()) {
        const auto sources = sources_of(observations);
        const JointPosterior outcome = weigh(observations, sources, grid);
        for (std::string& notice : search_notices(observations, sources, outcome))
            findings.notices.push_back(std::move(notice));
        findings.undeclared_probability = outcome.undeclared;
        tell_card(observations, sources, outcome, findings);
        tell_attributions(observations, sources, outcome, findings);
        tell_explanations(observations, sources, outcome, findings);
        tell_suspects(observations, sources, outcome, grid, findings);
    } else if (board_tones > 0) {
        findings.undeclared_probability = 1.0;
    }
    for (std::size_t i = 0; i < observations.tones.size(); ++i)
        if (!observations.spots[i].levels.empty()) findings.spots[findings.unit.tones[i].id] = observations.spots[i];
    if (sheet) {
        findings.next = next_experiments(*sheet, findings, parameters);
        for (const Outcome& outcome : outcomes_of(*sheet, findings.unit)) findings.outcomes.push_back(outcome.sentence);
    }
    const bool named = !findings.suspects.empty() && findings.suspects[0].probability >= named_from;
    findings.verdict = named ? Verdict::named : board_tones > 0 ? Verdict::unknown : Verdict::quiet;
    return findings;
}

}  // namespace tattletone::match
