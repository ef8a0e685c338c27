#include "match/toggle_match.h"

#include <algorithm>
#include <cmath>

namespace tattletone::match {
namespace {

void make_of_board(toggle::Trial& trial, const toggle::Effect& effect, tones::Tone& tone) {
    const toggle::WatchedLine& line = trial.lines[effect.line];
    tone.origin = tones::Origin::board;
    tone.rejection.clear();
    if (tone.steady) return;
    if (line.half_width_hz > 0.0) {  // its middle, as the sidebands of the steps let it be seen
        tone.hz_sd = std::max(tone.hz_sd, 1.5 / trial.plan.step_seconds);
        return;
    }
    tone.hz = tone.start_hz = tone.end_hz = line.hz;
    // It is the highest bin of the whole recording, which is a line's that begins anew at each step as wide as these.
    tone.hz_sd = 0.5 / trial.plan.step_seconds;
    tone.drift_hz = tone.drift_hz_sd = tone.wander_hz = 0.0;
    tone.steady = true;
    for (toggle::WatchedLine& other : trial.lines)
        if (other.tone == line.tone) other.tone_hz = line.hz;
}

// What switching a line makes beside it: multiples of the pace of the steps, weaker than the line.
constexpr double sidebands_to_steps = 8.0;

/// Lines beside one that follows its part are its own, switched on and off, and no tones by themselves.
void gather_sidebands(const toggle::Trial& trial, const std::vector<int>& driven, std::vector<tones::UnitTone>& tones) {
    const double reach_hz = sidebands_to_steps / trial.plan.step_seconds;
    const auto is_driven = [&](const tones::UnitTone& tone) {
        return std::find(driven.begin(), driven.end(), tone.id) != driven.end();
    };
    for (std::size_t i = 0; i < tones.size(); ++i) {
        if (!is_driven(tones[i])) continue;
        for (tones::UnitTone& other : tones) {
            if (is_driven(other) || other.id == 0 || other.tone.origin == tones::Origin::mains ||
                std::abs(other.tone.hz - tones[i].tone.hz) > reach_hz ||
                other.tone.level_dbfs > tones[i].tone.level_dbfs)
                continue;
            tones[i].tone.sidebands.push_back(other.tone);
            other.id = 0;
        }
    }
    std::erase_if(tones, [](const tones::UnitTone& tone) { return tone.id == 0; });
}

/// A plan that nothing follows may not have run: it acquits nobody.
bool has_run(const toggle::Trial& trial) {
    return std::any_of(trial.parts.begin(), trial.parts.end(),
                       [](const toggle::PartTrial& part) { return part.drives == true; });
}

}  // namespace

void add_trial(CaseEvidence& evidence, const toggle::Trial& trial) {
    if (!has_run(trial)) return;
    for (const toggle::WatchedLine& line : trial.lines) {
        if (line.kind != toggle::WatchedLine::Kind::tone) continue;
        const bool known = std::any_of(evidence.trial.begin(), evidence.trial.end(),
                                       [&](const TriedTone& tone) { return tone.tone == line.tone; });
        if (known) continue;
        TriedTone tone;
        tone.tone = line.tone;
        tone.hz = line.tone_hz;
        for (const toggle::PartTrial& part : trial.parts) {
            const auto has = [&](const std::vector<int>& ids) {
                return std::find(ids.begin(), ids.end(), line.tone) != ids.end();
            };
            if (has(part.tones)) tone.driven_by.push_back(part.part);
            if (has(part.unmoved)) tone.not_made_by.push_back(part.part);
        }
        if (!tone.driven_by.empty() || !tone.not_made_by.empty()) evidence.trial.push_back(std::move(tone));
    }
    for (const toggle::PartTrial& part : trial.parts)
        for (const toggle::Effect& effect : part.effects) {
            const toggle::WatchedLine& line = trial.lines[effect.line];
            if (part.drives == true && line.kind == toggle::WatchedLine::Kind::expected && effect.change_db > 0.0 &&
                line.rate.starts_with(part.part + "."))
                evidence.trial_heard.push_back(line.rate);
        }
}

Findings diagnose_with_trial(tones::UnitTones unit, CaseEvidence evidence, TrialJoin& join,
                             const std::function<Findings(tones::UnitTones, const CaseEvidence&)>& diagnosis) {
    for (const Suspect& suspect : diagnosis(unit, evidence).suspects) join.without[suspect.rate] = suspect.probability;
    // What follows the switching is the board's, whatever it looked like; and a steady line that is switched looks like
    // one that moves.
    std::vector<int> driven;
    for (const toggle::PartTrial& part : join.trial.parts)
        for (const toggle::Effect& effect : part.effects) {
            const auto tone = std::find_if(unit.tones.begin(), unit.tones.end(), [&](const tones::UnitTone& one) {
                return one.id == join.trial.lines[effect.line].tone;
            });
            if (part.drives != true || tone == unit.tones.end()) continue;
            make_of_board(join.trial, effect, tone->tone);
            tone->driven = true;
            driven.push_back(tone->id);
        }
    gather_sidebands(join.trial, driven, unit.tones);
    std::stable_sort(unit.tones.begin(), unit.tones.end(),
                     [](const auto& a, const auto& b) { return a.tone.hz < b.tone.hz; });
    add_trial(evidence, join.trial);
    Findings findings = diagnosis(std::move(unit), evidence);
    number_as_found(join.trial, findings.unit);
    return findings;
}

void number_as_found(toggle::Trial& trial, const tones::UnitTones& unit) {
    std::map<int, int> numbers;
    for (toggle::WatchedLine& line : trial.lines) {
        if (line.kind != toggle::WatchedLine::Kind::tone) continue;
        const auto nearest = std::min_element(unit.tones.begin(), unit.tones.end(), [&](const auto& a, const auto& b) {
            return std::abs(a.tone.hz - line.tone_hz) < std::abs(b.tone.hz - line.tone_hz);
        });
        if (nearest == unit.tones.end()) continue;
        numbers[line.tone] = nearest->id;
        line.tone = nearest->id;
    }
    for (toggle::PartTrial& part : trial.parts)
        for (auto* ids : {&part.tones, &part.unmoved})
            for (int& id : *ids)
                if (const auto known = numbers.find(id); known != numbers.end()) id = known->second;
}

}  // namespace tattletone::match
