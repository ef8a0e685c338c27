#include "match/outside.h"

#include <algorithm>
#include <cmath>

namespace tattletone::match {
namespace {

constexpr double held_at = 0.49, far_tolerances = 3.0, far_more = 2e-4;

bool is_driven(const Observations& observations, const board::Rate& rate) {
    if (rate.part < 0) return false;
    const std::string& part = observations.sheet->parts[static_cast<std::size_t>(rate.part)].id;
    return std::any_of(
        observations.evidence.trial.begin(), observations.evidence.trial.end(),
        [&](const TriedTone& tried) { return std::count(tried.driven_by.begin(), tried.driven_by.end(), part) > 0; });
}

}  // namespace

void hold_outside(const Observations& observations, const std::vector<Source>& sources, const JointPosterior& outcome,
                  Findings& findings) {
    for (std::size_t i = 0; i < sources.size(); ++i) {
        const Source& source = sources[i];
        if (source.rate < 0 || source.kind != SourceKind::fixed || outcome.sources[i].best.empty()) continue;
        const board::Rate& rate = observations.sheet->rates[static_cast<std::size_t>(source.rate)];
        const auto suspect = std::find_if(findings.suspects.begin(), findings.suspects.end(),
                                          [&](const Suspect& one) { return one.rate == rate.full_name; });
        if (suspect == findings.suspects.end() || !suspect->outside_tolerance || suspect->probability <= held_at)
            continue;
        if (std::abs(outcome.sources[i].x) < far_tolerances * source.tolerance + far_more) continue;
        if (is_driven(observations, rate)) continue;
        const double share = held_at / suspect->probability;
        suspect->probability = held_at;
        findings.undeclared_probability = std::max(findings.undeclared_probability, 1.0 - held_at);
        for (auto& [tone, explanations] : findings.explained_by)
            for (Explanation& explanation : explanations)
                if (explanation.rate == rate.full_name) explanation.probability *= share;
    }
    std::stable_sort(findings.suspects.begin(), findings.suspects.end(),
                     [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
}

}  // namespace tattletone::match
