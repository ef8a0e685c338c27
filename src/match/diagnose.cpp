#include "match/diagnose.h"

#include <algorithm>
#include <cmath>

#include "match/joint.h"
#include "match/parameters.h"
#include "match/reasons.h"
#include "match/supply_reason.h"

namespace tattletone {
namespace {

constexpr double least_told = 0.01;
constexpr double named_from = 0.5;
constexpr double ppm = 1e-6;

// Recordings differ in how many stray tones they hold: one that has more than usual is judged by its own
// density. Never by less than the usual one, so that a clean recording does not turn a lone tone in a
// wide window into proof.
double clutter_of(const Scene& scene, double single_tones) {
    constexpr double prior_weight = 2.0;
    const MatchParameters& p = scene.parameters;
    const double split = std::clamp(1000.0, scene.limits.low_hz, std::max(scene.limits.low_hz, scene.limits.high_hz));
    const double usual = (p.room_per_octave + p.background_per_octave) *
                         (p.background_low_factor * std::log2(split / scene.limits.low_hz) +
                          std::max(0.0, std::log2(scene.limits.high_hz / split)));
    return std::max(1.0, (prior_weight + single_tones) / (prior_weight + usual));
}

double expected_hz(const Singer& singer, const Pair& pair, double x) {
    if (pair.place < 0)
        return (pair.kind == LineKind::subharmonic ? 0.5 : 1.0) * pair.order * std::exp(x);
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

void tell_explanations(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome,
                       Findings& findings) {
    for (const Claim& claim : outcome.claims) {
        if (singers[static_cast<std::size_t>(claim.singer)].rate < 0 || claim.probability < least_told) continue;
        const int id = findings.unit.tones[static_cast<std::size_t>(claim.tone)].id;
        findings.explained_by[id].push_back(explanation_of(scene, singers, outcome, claim));
    }
    for (auto& [id, list] : findings.explained_by) {
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
        if (singers[i].rate < 0 || outcome.singers[i].sings < least_told) continue;
        const Rate& rate = scene.sheet->rates[static_cast<std::size_t>(singers[i].rate)];
        Suspect suspect;
        suspect.rate = rate.full_name;
        if (rate.part >= 0 && rate.part < static_cast<int>(scene.sheet->parts.size()))
            suspect.part_name = scene.sheet->parts[static_cast<std::size_t>(rate.part)].name;
        suspect.probability = std::min(1.0, outcome.singers[i].sings);
        for (const auto& [id, list] : findings.explained_by) {
            double share = 0.0;
            for (const Explanation& explanation : list)
                if (explanation.rate == suspect.rate) share += explanation.probability;
            if (share >= 0.5) suspect.tones.push_back(id);
        }
        suspect.reasons = reasons_for(scene, findings.unit, singers, outcome, static_cast<int>(i), grid);
        const std::string supply = supply_reason(*scene.sheet, singers[i].rate, findings.unit);
        if (!supply.empty()) suspect.reasons.push_back(supply);
        findings.suspects.push_back(std::move(suspect));
    }
    std::stable_sort(findings.suspects.begin(), findings.suspects.end(),
                     [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
}

}  // namespace

Findings diagnose(const BoardSheet* sheet, UnitTones unit) {
    static const MatchParameters parameters = fitted_parameters();
    return diagnose(sheet, std::move(unit), parameters);
}

Findings diagnose(const BoardSheet* sheet, UnitTones unit, const MatchParameters& parameters) {
    Findings findings;
    findings.unit = std::move(unit);
    findings.card_error_ppm_sd = parameters.card_sd_ppm;
    if (sheet) findings.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);

    Scene scene = make_scene(sheet, findings.unit, parameters);
    const auto board_tones =
        std::count_if(scene.tones.begin(), scene.tones.end(), [](const SceneTone& tone) { return tone.of_board; });
    if (sheet && !scene.tones.empty()) {
        const CardGrid grid(parameters.card_sd_ppm);
        const auto singers = singers_of(scene);
        const double clutter = clutter_of(scene, static_cast<double>(board_tones));
        set_clutter(scene, clutter);
        JointOutcome outcome = weigh_together(scene, singers, grid);
        const double revised = clutter_of(scene, outcome.single_tones);
        if (std::abs(std::log(revised / clutter)) > 0.05) {
            set_clutter(scene, revised);
            outcome = weigh_together(scene, singers, grid);
        }
        findings.undeclared_probability = outcome.undeclared;
        findings.card_error_ppm = outcome.card_mean / ppm;
        findings.card_error_ppm_sd = outcome.card_sd / ppm;
        tell_explanations(scene, singers, outcome, findings);
        tell_suspects(scene, singers, outcome, grid, findings);
    } else if (board_tones > 0) {
        findings.undeclared_probability = 1.0;
    }
    const bool named = !findings.suspects.empty() && findings.suspects[0].probability >= named_from;
    findings.verdict = named             ? Verdict::named
                       : board_tones > 0 ? Verdict::unknown
                                         : Verdict::quiet;
    return findings;
}

}  // namespace tattletone
