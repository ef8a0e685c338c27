#include "match/diagnose.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

#include "base/text/number.h"
#include "match/comb/comb_search.h"
#include "match/comb/comb_words.h"
#include "match/comb/undeclared_combs.h"
#include "match/declared_bursts.h"
#include "match/declared_pulses.h"
#include "match/experiments/experiments.h"
#include "match/explain/outcomes.h"
#include "match/explain/reasons.h"
#include "match/explain/rivals.h"
#include "match/explain/supply_reason.h"
#include "match/far_fall.h"
#include "match/misread.h"
#include "match/model/faint.h"
#include "match/model/parameters.h"
#include "match/outside.h"
#include "match/search/bounds.h"
#include "match/search/joint_posterior.h"
#include "match/search/weigh_unit.h"
#include "match/set_rates.h"

namespace tattletone::match {
namespace {

constexpr double least_told = 0.01, named_from = 0.5, least_faint = 0.1;  // probabilities
constexpr double same_explanation = 0.01;
constexpr const char* not_fainter = "of the room: its source is hardly fainter at 60 cm from the board than at 3 cm";
constexpr double ppm = 1e-6;

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

bool of_both(board::LineKind kind) {
    return board::about(kind).partner == board::Partner::equal;
}

// A beat is two rates' doing, and either may have been taken for its source: one explanation.
void join_beats(std::vector<Explanation>& list) {
    for (std::size_t i = 0; i < list.size(); ++i)
        for (std::size_t j = list.size(); j-- > i + 1;) {
            if (!of_both(list[i].kind) || !of_both(list[j].kind) || list[i].order != list[j].order ||
                list[i].rate != list[j].other || list[i].other != list[j].rate)
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
        if (of_both(claim.line_match.kind) && claim.line_match.line >= 0 &&
            source.lines[static_cast<std::size_t>(claim.line_match.line)].other == rate)
            by_tone[claim.tone] += claim.probability;
    }
    double most = 0.0;
    for (const auto& [tone, probability] : by_tone) most = std::max(most, probability);
    return most;
}

bool takes_part(const Explanation& explanation, const std::string& rate) {
    return explanation.rate == rate || (of_both(explanation.kind) && explanation.other == rate);
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
        Reasons reasons = reasons_for(observations, findings.unit, sources, outcome, static_cast<int>(i), grid);
        suspect.reasons = std::move(reasons.all);
        suspect.against = std::move(reasons.against);
        if (suspect.reasons.empty()) suspect.reasons.push_back("takes part in a beat with another rate");
        const std::string supply =
            supply_reason(*observations.sheet, sources[i].rate, findings.unit, observations.evidence.traced_rail);
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
            if (of_both(made.kind) && made.other < made.rate) {
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

std::string elsewhere_words(const ObservedTone& tone) {
    switch (tone.elsewhere) {
        case ElsewhereKind::mains: {
            char text[96];
            std::snprintf(text, sizeof text, "multiple %d of the mains at %.3f Hz", tone.mains_multiple, tone.mains_hz);
            return text;
        }
        case ElsewhereKind::mains_fed:
            return "one of several that move at twice the mains from each other, as of a charger or a supply";
        case ElsewhereKind::room:
            return "like others of the room's recording, which come and go";
        case ElsewhereKind::clipping:
            return "made by the clipping of stronger tones";
    }
    return {};
}

// What a neighbour of the board makes is no longer told as the board's.
void tell_neighbours(const Observations& observations, const std::vector<Source>& sources,
                     const JointPosterior& outcome, Findings& findings) {
    struct Made {
        double probability = 0.0, mains = 0.0, twin = 0.0, best = 0.0, base_hz = 0.0;
        int order = 0;
    };
    std::map<int, Made> made;
    for (const Claim& claim : outcome.claims) {
        const Source& source = sources[static_cast<std::size_t>(claim.source)];
        if (!source.is_elsewhere()) continue;
        Made& one = made[claim.tone];
        one.probability += claim.probability;
        if (source.in_room) one.twin += claim.probability;
        if (source.neighbour != Neighbour::mains) continue;
        one.mains += claim.probability;
        if (claim.probability <= one.best) continue;
        one.best = claim.probability;
        const double hz = observations.tones[static_cast<std::size_t>(claim.tone)].hz;
        const double base_hz = observations.tones[static_cast<std::size_t>(claim.tone)].mains_hz;
        one.order = static_cast<int>(std::lround(hz / (base_hz > 0.0 ? base_hz : source.mains_hz)));
        one.base_hz = hz / one.order;
    }
    for (std::size_t i = 0; i < observations.tones.size(); ++i) {
        const ObservedTone& observed = observations.tones[i];
        double explained = 0.0;
        if (const auto known = findings.explained_by.find(findings.unit.tones[i].id);
            known != findings.explained_by.end())
            for (const Explanation& explanation : known->second) explained += explanation.probability;
        tones::Tone& tone = findings.unit.tones[i].tone;
        if (findings.unit.tones[i].driven || tone.origin != tones::Origin::board ||
            (1.0 - explained) * observed.elsewhere_share < named_from)
            continue;
        tone.origin = observed.elsewhere == ElsewhereKind::mains ? tones::Origin::mains : tones::Origin::unsure;
        tone.rejection = elsewhere_words(observed);
    }
    for (const auto& [index, one] : made) {
        tones::Tone& tone = findings.unit.tones[static_cast<std::size_t>(index)].tone;
        if (findings.unit.tones[static_cast<std::size_t>(index)].driven || one.probability < named_from ||
            tone.origin != tones::Origin::board)
            continue;
        const int id = findings.unit.tones[static_cast<std::size_t>(index)].id;
        const bool in_a_comb =
            std::any_of(findings.undeclared.begin(), findings.undeclared.end(), [&](const UndeclaredComb& comb) {
                return std::find(comb.tones.begin(), comb.tones.end(), id) != comb.tones.end();
            });
        if (one.mains >= 0.5 * one.probability) {
            char text[96];
            std::snprintf(text, sizeof text, "multiple %d of the mains at %.3f Hz", one.order, one.base_hz);
            tone.origin = tones::Origin::mains;
            tone.rejection = text;
        } else if (one.twin >= 0.5 * one.probability) {
            tone.origin = tones::Origin::room;
            tone.rejection = not_fainter;
        } else if (!in_a_comb) {
            tone.origin = tones::Origin::unsure;
            tone.rejection = "one of several that move alike, as of a motor, a fan or a charger";
        }
    }
}

/// What did not fall when the microphone moved away is the room's, where no declared rate explains it.
void tell_falls(const MatchParameters& parameters, Findings& findings) {
    for (tones::UnitTone& unit_tone : findings.unit.tones) {
        tones::Tone& tone = unit_tone.tone;
        if (!unit_tone.far_fall || tone.origin == tones::Origin::mains || tone.origin == tones::Origin::room ||
            far_says(*unit_tone.far_fall, parameters) != FarSays::room)
            continue;
        double explained = 0.0;
        if (const auto known = findings.explained_by.find(unit_tone.id); known != findings.explained_by.end())
            for (const Explanation& explanation : known->second) explained += explanation.probability;
        if (explained >= named_from) continue;
        tone.origin = tones::Origin::room;
        tone.rejection = not_fainter;
    }
}

/// Falls that only say that the microphone stayed where it was are dropped, with a notice.
std::vector<std::string> judge_far_take(tones::UnitTones& unit, const MatchParameters& parameters) {
    if (!stayed_where_it_was(unit, parameters)) return {};
    for (tones::UnitTone& tone : unit.tones) tone.far_fall.reset();
    return {
        "The far recording is left out: what it holds is nearly as loud as at the board, where some " +
        base::fixed(parameters.far_board_fall_db, 0) +
        " dB less are expected of what the board makes, so the microphone was hardly moved. Record it anew, 60 cm from "
        "the board."};
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

// With those faint lines, single ones and of combs, that a declared rate may well make.
tones::UnitTones add_faint(const board::BoardSheet& sheet, tones::UnitTones unit, std::vector<Comb>& combs,
                           const MatchParameters& parameters, const CaseEvidence& evidence, const SearchLimits& search,
                           const CardGrid& grid) {
    const std::size_t before = unit.tones.size();
    if (may_show_combs(unit)) {
        const Observations observations = observe(&sheet, unit, parameters, evidence, search);
        combs = find_combs(observations, unit, sources_of(observations));
    }
    tones::UnitTones all = with_comb_lines(with_faint(sheet, std::move(unit), parameters), combs);
    if (all.tones.size() == before) return all;
    Observations observations = observe(&sheet, all, parameters, evidence, search);
    attach(observations, combs);
    const auto sources = sources_of(observations);
    std::vector<double> claimed(all.tones.size(), 0.0);
    for (const Claim& claim : weigh_unit(observations, sources, grid).claims)
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

Findings diagnose(const board::BoardSheet* sheet, tones::UnitTones unit, const MatchParameters& parameters,
                  const CaseEvidence& given, const SearchLimits& search) {
    Findings findings;
    CaseEvidence evidence = given;
    const CardGrid grid(parameters.card_sd_ppm);
    if (sheet) {
        unit = with_declared_bursts(*sheet, std::move(unit), parameters);
        findings.pulses = declared_pulses(*sheet, unit, parameters);
        evidence.pulse_odds = pulse_odds(findings.pulses);
    }
    findings.notices = judge_far_take(unit, parameters);
    std::vector<Comb> combs;
    findings.unit =
        sheet ? add_faint(*sheet, std::move(unit), combs, parameters, evidence, search, grid) : std::move(unit);
    tell_misread(sheet, parameters, grid, findings);
    findings.card_error_ppm_sd = parameters.card_sd_ppm;
    if (sheet) findings.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);

    Observations observations = observe(sheet, findings.unit, parameters, evidence, search);
    attach(observations, combs);
    measure_set_rates(observations);
    const auto board_tones = std::count_if(observations.tones.begin(), observations.tones.end(),
                                           [](const ObservedTone& tone) { return tone.of_board; });
    if (sheet)
        for (std::string& notice : sheet_notices(observations)) findings.notices.push_back(std::move(notice));
    const auto sources = sources_of(observations);
    if (sheet && !observations.tones.empty()) {
        const JointPosterior outcome = weigh_unit(observations, sources, grid);
        for (std::string& notice : search_notices(observations, sources, outcome))
            findings.notices.push_back(std::move(notice));
        findings.undeclared_probability = outcome.undeclared;
        tell_card(observations, sources, outcome, findings);
        tell_attributions(observations, sources, outcome, findings);
        tell_explanations(observations, sources, outcome, findings);
        tell_combs(observations, sources, outcome, findings);
        tell_suspects(observations, sources, outcome, grid, findings);
        tell_pulses(findings);
        hold_outside(observations, sources, outcome, findings);
        findings.undeclared = undeclared_combs(observations, sources, &outcome, findings);
        tell_neighbours(observations, sources, outcome, findings);
        findings.rivals = rivals_of(observations, sources, &outcome, findings);
    } else {
        if (board_tones > 0) findings.undeclared_probability = 1.0;
        findings.undeclared = undeclared_combs(observations, sources, nullptr, findings);
        findings.rivals = rivals_of(observations, {}, nullptr, findings);
    }
    tell_falls(parameters, findings);
    if (sheet) findings.states_left = states_left(*sheet, findings);
    for (std::size_t i = 0; i < observations.tones.size(); ++i)
        if (!observations.spots[i].levels.empty()) findings.spots[findings.unit.tones[i].id] = observations.spots[i];
    if (sheet) {
        findings.next = next_experiments(*sheet, findings, parameters);
        for (const Outcome& outcome : outcomes_of(*sheet, findings.unit, parameters))
            findings.outcomes.push_back(outcome.sentence);
    }
    const bool of_board = std::any_of(findings.unit.tones.begin(), findings.unit.tones.end(), [](const auto& tone) {
        return tone.tone.origin == tones::Origin::board && !tone.tone.faint;
    });
    const bool named = !findings.suspects.empty() && findings.suspects[0].probability >= named_from;
    findings.verdict = named ? Verdict::named : of_board ? Verdict::unknown : Verdict::quiet;
    return findings;
}

}  // namespace tattletone::match
