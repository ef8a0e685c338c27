#include "match/diagnose.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "match/bounds.h"
#include "match/experiments.h"
#include "match/faint.h"
#include "match/joint.h"
#include "match/outcomes.h"
#include "match/parameters.h"
#include "match/reasons.h"
#include "match/supply_reason.h"

namespace tattletone {
namespace {

constexpr double least_told = 0.01;
constexpr double named_from = 0.5;
constexpr double least_faint = 0.1;
constexpr double same_explanation = 0.01;
constexpr double ppm = 1e-6;

// Recordings differ in how many stray tones they hold: one that has more than usual is judged by its own
// density. Never by less than the usual one, so that a clean recording does not turn a lone tone in a
// wide window into proof.
double clutter_of(const Scene& scene, double single_tones) {
    const MatchParameters& p = scene.parameters;
    const double split = std::clamp(p.low_band_hz, scene.limits.low_hz, std::max(scene.limits.low_hz, scene.limits.high_hz));
    const double usual = (p.room_per_octave + p.background_per_octave) *
                         (p.background_low_factor * std::log2(split / scene.limits.low_hz) +
                          std::max(0.0, std::log2(scene.limits.high_hz / split)));
    return std::max(1.0, (p.clutter_prior_tones + single_tones) / (p.clutter_prior_tones + usual));
}

double expected_hz(const Singer& singer, const Pair& pair, double x) {
    if (pair.place < 0) {
        // `x` is that of the singer's best explanation; this line may belong to another.
        const double own = std::abs(pair.x - x) < same_explanation ? x : pair.x;
        return (pair.kind == LineKind::subharmonic ? 0.5 : 1.0) * pair.order * std::exp(own);
    }
    return singer.places[static_cast<std::size_t>(pair.place)].at_zero_hz;
}

Explanation explanation_of(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome,
                           const Claim& claim) {
    const auto index = static_cast<std::size_t>(claim.singer);
    const Singer& singer = singers[index];
    Explanation explanation;
    explanation.rate = scene.sheet->rates[static_cast<std::size_t>(singer.rate)].full_name;
    explanation.kind = claim.pair.kind;
    explanation.order = claim.pair.order;
    if (claim.pair.place >= 0) {
        const int other = singer.places[static_cast<std::size_t>(claim.pair.place)].other;
        if (other >= 0) explanation.other = scene.sheet->rates[static_cast<std::size_t>(other)].full_name;
    }
    explanation.expected_hz = expected_hz(singer, claim.pair, outcome.singers[index].x);
    explanation.offset_hz = scene.tones[static_cast<std::size_t>(claim.tone)].hz - explanation.expected_hz;
    explanation.probability = claim.probability;
    return explanation;
}

// A beat is two rates' doing, and either may have been taken for its singer: one explanation.
void join_beats(std::vector<Explanation>& list) {
    for (std::size_t i = 0; i < list.size(); ++i)
        for (std::size_t j = list.size(); j-- > i + 1;) {
            if (list[i].kind != LineKind::beat || list[j].kind != LineKind::beat || list[i].order != list[j].order ||
                list[i].rate != list[j].other || list[i].other != list[j].rate)
                continue;
            list[i].probability += list[j].probability;
            list.erase(list.begin() + static_cast<std::ptrdiff_t>(j));
        }
}

/// Probability of beats that another rate was taken for the singer of.
double as_partner(const std::vector<Singer>& singers, const JointOutcome& outcome, int rate) {
    std::map<int, double> by_tone;
    for (const Claim& claim : outcome.claims) {
        const Singer& singer = singers[static_cast<std::size_t>(claim.singer)];
        if (claim.pair.kind == LineKind::beat && claim.pair.place >= 0 &&
            singer.places[static_cast<std::size_t>(claim.pair.place)].other == rate)
            by_tone[claim.tone] += claim.probability;
    }
    double most = 0.0;
    for (const auto& [tone, probability] : by_tone) most = std::max(most, probability);
    return most;
}

bool takes_part(const Explanation& explanation, const std::string& rate) {
    return explanation.rate == rate || (explanation.kind == LineKind::beat && explanation.other == rate);
}

void tell_explanations(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome,
                       Findings& findings) {
    for (const Claim& claim : outcome.claims) {
        if (singers[static_cast<std::size_t>(claim.singer)].rate < 0 || claim.probability < least_told) continue;
        const int id = findings.unit.tones[static_cast<std::size_t>(claim.tone)].id;
        findings.explained_by[id].push_back(explanation_of(scene, singers, outcome, claim));
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

void tell_suspects(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome,
                   const CardGrid& grid, Findings& findings) {
    for (std::size_t i = 0; i < singers.size(); ++i) {
        if (singers[i].rate < 0) continue;
        const double sings = outcome.singers[i].sings + as_partner(singers, outcome, singers[i].rate);
        if (sings < least_told) continue;
        const Rate& rate = scene.sheet->rates[static_cast<std::size_t>(singers[i].rate)];
        Suspect suspect;
        suspect.rate = rate.full_name;
        if (rate.part >= 0 && rate.part < static_cast<int>(scene.sheet->parts.size()))
            suspect.part_name = scene.sheet->parts[static_cast<std::size_t>(rate.part)].name;
        suspect.probability = std::min(1.0, sings);
        for (const auto& [id, list] : findings.explained_by) {
            double share = 0.0;
            for (const Explanation& explanation : list)
                if (takes_part(explanation, suspect.rate)) share += explanation.probability;
            if (share >= 0.5) suspect.tones.push_back(id);
        }
        const SingerOutcome& found = outcome.singers[i];
        suspect.outside_tolerance =
            !found.best.empty() && !found.hidden && keeps_tolerance(singers[i], found, outcome) < 0.5;
        suspect.reasons = reasons_for(scene, findings.unit, singers, outcome, static_cast<int>(i), grid);
        if (suspect.reasons.empty()) suspect.reasons.push_back("takes part in a beat with another rate");
        const std::string supply = supply_reason(*scene.sheet, singers[i].rate, findings.unit,
                                                 scene.evidence.traced_rail);
        if (!supply.empty()) suspect.reasons.push_back(supply);
        findings.suspects.push_back(std::move(suspect));
    }
    std::stable_sort(findings.suspects.begin(), findings.suspects.end(),
                     [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
}

void tell_ways(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome,
               Findings& findings) {
    for (const JointWay& way : outcome.ways) {
        Way told;
        told.probability = way.probability;
        for (const Claim& claim : way.claims) {
            const Singer& singer = singers[static_cast<std::size_t>(claim.singer)];
            if (singer.rate < 0) continue;
            Way::Made made;
            made.tone = findings.unit.tones[static_cast<std::size_t>(claim.tone)].id;
            made.rate = singer.rate;
            made.kind = claim.pair.kind;
            made.order = claim.pair.order;
            made.slope_hz = scene.tones[static_cast<std::size_t>(claim.tone)].hz;
            if (claim.pair.place >= 0) {
                const Place& place = singer.places[static_cast<std::size_t>(claim.pair.place)];
                made.other = place.other;
                made.slope_hz = place.slope_hz;
                made.other_slope_hz = place.other_slope_hz;
            }
            if (made.kind == LineKind::beat && made.other < made.rate) {
                std::swap(made.rate, made.other);
                std::swap(made.slope_hz, made.other_slope_hz);
            }
            told.made.push_back(made);
        }
        const auto same = std::find_if(findings.ways.begin(), findings.ways.end(),
                                       [&](const Way& known) { return known.made == told.made; });
        if (same != findings.ways.end())
            same->probability += told.probability;
        else
            findings.ways.push_back(std::move(told));
    }
    std::stable_sort(findings.ways.begin(), findings.ways.end(),
                     [](const Way& a, const Way& b) { return a.probability > b.probability; });
}

void tell_card(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome,
               Findings& findings) {
    findings.card_error_ppm = outcome.card_mean / ppm;
    findings.card_error_ppm_sd = outcome.card_sd / ppm;
    for (const int singer : pinning(scene, singers, outcome))
        findings.card_error_from.push_back(
            scene.sheet->rates[static_cast<std::size_t>(singers[static_cast<std::size_t>(singer)].rate)].full_name);
}

JointOutcome weigh(Scene& scene, const std::vector<Singer>& singers, const CardGrid& grid) {
    const auto board_tones =
        std::count_if(scene.tones.begin(), scene.tones.end(), [](const SceneTone& tone) { return tone.of_board; });
    const double clutter = clutter_of(scene, static_cast<double>(board_tones));
    set_clutter(scene, clutter);
    JointOutcome outcome = weigh_together(scene, singers, grid);
    const double revised = clutter_of(scene, outcome.single_tones);
    if (std::abs(std::log(revised / clutter)) > 0.05) {
        set_clutter(scene, revised);
        outcome = weigh_together(scene, singers, grid);
    }
    return outcome;
}

// With those faint lines that a declared rate may well make.
UnitTones add_faint(const BoardSheet& sheet, UnitTones unit, const MatchParameters& parameters,
                    const CaseEvidence& evidence, const SearchLimits& search, const CardGrid& grid) {
    const std::size_t before = unit.tones.size();
    UnitTones all = with_faint(sheet, std::move(unit), parameters);
    if (all.tones.size() == before) return all;
    Scene scene = make_scene(&sheet, all, parameters, evidence, search);
    const auto singers = singers_of(scene);
    std::vector<double> claimed(all.tones.size(), 0.0);
    for (const Claim& claim : weigh(scene, singers, grid).claims)
        if (singers[static_cast<std::size_t>(claim.singer)].rate >= 0)
            claimed[static_cast<std::size_t>(claim.tone)] += claim.probability;
    std::vector<char> kept;
    for (const double probability : claimed) kept.push_back(probability >= least_faint);
    return without_faint(std::move(all), kept);
}

}  // namespace

Findings diagnose(const BoardSheet* sheet, UnitTones unit) {
    static const MatchParameters parameters = fitted_parameters();
    return diagnose(sheet, std::move(unit), parameters);
}

Findings diagnose(const BoardSheet* sheet, UnitTones unit, const MatchParameters& parameters,
                  const CaseEvidence& evidence, const SearchLimits& search) {
    Findings findings;
    const CardGrid grid(parameters.card_sd_ppm);
    findings.unit = sheet ? add_faint(*sheet, std::move(unit), parameters, evidence, search, grid)
                          : std::move(unit);
    findings.card_error_ppm_sd = parameters.card_sd_ppm;
    if (sheet) findings.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);

    Scene scene = make_scene(sheet, findings.unit, parameters, evidence, search);
    const auto board_tones =
        std::count_if(scene.tones.begin(), scene.tones.end(), [](const SceneTone& tone) { return tone.of_board; });
    if (sheet) findings.notices = sheet_notices(scene);
    if (sheet && !scene.tones.empty()) {
        const auto singers = singers_of(scene);
        const JointOutcome outcome = weigh(scene, singers, grid);
        for (std::string& notice : search_notices(scene, singers, outcome)) findings.notices.push_back(std::move(notice));
        findings.undeclared_probability = outcome.undeclared;
        tell_card(scene, singers, outcome, findings);
        tell_ways(scene, singers, outcome, findings);
        tell_explanations(scene, singers, outcome, findings);
        tell_suspects(scene, singers, outcome, grid, findings);
    } else if (board_tones > 0) {
        findings.undeclared_probability = 1.0;
    }
    for (std::size_t i = 0; i < scene.tones.size(); ++i)
        if (!scene.spots[i].levels.empty()) findings.spots[findings.unit.tones[i].id] = scene.spots[i];
    if (sheet) {
        findings.next = next_experiments(*sheet, findings, parameters);
        for (const Outcome& outcome : outcomes_of(*sheet, findings.unit, parameters)) findings.outcomes.push_back(outcome.sentence);
    }
    const bool named = !findings.suspects.empty() && findings.suspects[0].probability >= named_from;
    findings.verdict = named             ? Verdict::named
                       : board_tones > 0 ? Verdict::unknown
                                         : Verdict::quiet;
    return findings;
}

}  // namespace tattletone
