#include "match/experiments/trials.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <set>

#include "match/explain/wording.h"
#include "match/model/gauss.h"
#include "match/model/observations.h"
#include "match/model/source.h"

namespace tattletone::match {
namespace {

using Kind = Forecast::Effect;

constexpr double same_line_as = 0.002;
constexpr double longest_seconds = 60.0;
constexpr int most_orders = 24;

std::string quoted_state(const std::string& state) {
    return "'" + state + "'";
}

bool is_loose(const board::Rate& rate, const MatchParameters& p) {
    return rate.wanders() || rate.tolerance_ppm >= p.trial_loose_ppm;
}

Experiment made(Trial kind, std::string what, std::string todo, std::string option, double hz = 0.0) {
    Experiment experiment;
    experiment.kind = kind;
    experiment.what = std::move(what);
    experiment.hz = hz;
    experiment.todo = std::move(todo);
    experiment.option = std::move(option);
    return experiment;
}

bool changed_before(const TrialView& bench, const std::string& what) {
    for (const tones::Take& take : bench.findings.unit.takes)
        for (const tones::Change& change : take.changes)
            if (change.what == what) return true;
    return false;
}

/// A value that a person would type: whole hertz from 1 kHz on.
double rounded(double hz) {
    const double step = hz >= 1000.0 ? 1.0 : hz >= 100.0 ? 0.1 : 0.01;
    return std::round(hz / step) * step;
}

std::string as_typed(double hz) {
    char text[40];
    std::snprintf(text, sizeof text, "%.10g", hz);
    return text;
}

/// Where a tone of this rate is when the rate has another value.
double moved_hz(const tones::UnitTone& tone, const Attribution::Made& made, int rate, double ratio) {
    const double slope = made.rate == rate ? made.slope_hz : made.other == rate ? made.other_slope_hz : 0.0;
    return std::abs(tone.tone.hz + slope * (ratio - 1.0));
}

/// How badly a new value would do: lines out of the band, on other tones, in other rates' windows, or hardly moved. 0
/// is clean.
int clashes(const TrialView& bench, int index, double hz) {
    const board::Rate& rate = bench.rate(index);
    if ((rate.adjust_min_hz > 0.0 && hz < rate.adjust_min_hz) || (rate.adjust_max_hz > 0.0 && hz > rate.adjust_max_hz))
        return 1000;
    const auto& found = bench.findings.unit.takes[0].found;
    int clashes = std::abs(hz / rate.hz - 1.0) < 2e-6 * rate.tolerance_ppm + 0.003 ? 8 : 0;
    std::set<std::pair<int, double>> lines;
    for (const Attribution& attribution : bench.findings.attributions)
        for (const Attribution::Made& made : attribution.made)
            if (made.rate == index) lines.insert({made.tone, made.slope_hz});
    for (const auto& [id, slope] : lines) {
        const double at = std::abs(bench.tone(id).tone.hz + slope * (hz / rate.hz - 1.0));
        if (at < found.usable.low_hz || at > found.usable.high_hz) clashes += 6;
        for (const tones::UnitTone& tone : bench.findings.unit.tones)
            if (std::abs(tone.tone.hz / at - 1.0) < 0.004) clashes += 3;
        for (int other = 0; other < static_cast<int>(bench.sheet.rates.size()); ++other) {
            const board::Rate& neighbour = bench.rate(other);
            if (other == index || neighbour.wanders() || neighbour.tolerance_ppm > 2e4) continue;
            const double order = std::round(at / neighbour.hz);
            if (order < 1.0 || order > 12.0) continue;
            const double off = std::abs(at / (order * neighbour.hz) - 1.0);
            if (off < 1e-6 * neighbour.tolerance_ppm + bench.parameters.setting_sd + 0.001) clashes += 1;
        }
    }
    return clashes;
}

double value_to_set(const TrialView& bench, int index) {
    constexpr double factors[] = {1.1,  0.9,  1.07, 0.93, 1.15, 0.85, 1.2,  0.8,
                                  1.05, 0.95, 1.03, 0.97, 1.3,  0.7,  1.02, 0.98};
    double best = 0.0;
    int fewest = 1000;
    for (const double factor : factors) {
        const double hz = rounded(bench.rate(index).hz * factor);
        const int count = clashes(bench, index, hz);
        if (count < fewest) fewest = count, best = hz;
    }
    return best;
}

void add_states(const TrialView& bench, std::vector<Experiment>& list) {
    std::set<std::string> recorded;
    for (const tones::Take& take : bench.findings.unit.takes) recorded.insert(take.state);
    for (const std::string& state : bench.sheet.states)
        if (!recorded.count(state))
            list.push_back(made(Trial::state, state, "Record the board in the state " + quoted_state(state) + ".",
                                "--state " + state + "=FILE"));
}

void add_interventions(const TrialView& bench, std::vector<Experiment>& list) {
    std::set<std::string> parts;
    for (const int index : bench.suspects) {
        const board::Rate& rate = bench.rate(index);
        const board::Part& part = bench.part(index);
        if (!part.id.empty() && !changed_before(bench, part.id) && parts.insert(part.id).second)
            list.push_back(made(Trial::part_off, part.id,
                                "Stop " + part.id + (part.name != part.id ? " (" + part.name + ")" : "") +
                                    " in firmware or by its enable line, and record again.",
                                "--off " + part.id + ":FILE"));
        if (rate.adjustable && !rate.wanders() && !changed_before(bench, rate.full_name)) {
            const double hz = value_to_set(bench, index);
            if (hz > 0.0) {
                list.push_back(made(Trial::moved_rate, rate.full_name,
                                    "Set " + rate.full_name + " from " + as_declared(rate.hz) + " to " + as_typed(hz) +
                                        " Hz, and record again.",
                                    "--changed " + rate.full_name + "=" + as_typed(hz) + ":FILE", hz));
                list.back().caution = "A moved rate may saturate an inductor or heat its part: small steps, briefly.";
            }
        }
        if (rate.wanders() && !changed_before(bench, rate.full_name)) {
            list.push_back(made(Trial::load, rate.full_name,
                                "Load the converter of " + rate.full_name +
                                    " within its rating (a busy part, or a resistor), and record again.",
                                "--off " + rate.full_name + ":FILE"));
            list.back().caution = "A load resistor gets hot; stay within the rail's current.";
        }
        if (is_loose(rate, bench.parameters)) {
            list.push_back(made(Trial::warm, part.id.empty() ? rate.full_name : part.id,
                                "Warm the part of " + rate.full_name +
                                    " a little (a hand-warm air stream) while 'tattletone listen' runs.",
                                ""));
            list.back().caution = "Low-voltage boards only; parts may already be hot, and stay below their rating.";
        }
        list.push_back(made(Trial::press, part.id.empty() ? rate.full_name : part.id,
                            "Press lightly with a dry wooden stick on the capacitors and coils beside the part of " +
                                rate.full_name + " while 'tattletone listen' runs.",
                            ""));
        list.back().caution = "Low-voltage boards only, nothing that conducts, and no fingers: parts can be hot.";
    }
}

void add_recordings(const TrialView& bench, std::vector<Experiment>& list) {
    const double rate = bench.sample_rate_hz();
    const bool image = std::any_of(
        bench.findings.attributions.begin(), bench.findings.attributions.end(), [](const Attribution& attribution) {
            return std::any_of(attribution.made.begin(), attribution.made.end(),
                               [](const Attribution::Made& made) { return board::about(made.kind).folds; });
        });
    if (image) {
        const double other = rate == 44100.0 ? 48000.0 : 44100.0;
        list.push_back(made(Trial::sample_rate, "",
                            "Record at " + as_typed(other / 1000.0) + " kHz instead of " + as_typed(rate / 1000.0) +
                                " kHz, set in the recorder itself.",
                            "FILE", other));
    }
    if (!bench.findings.unit.room_given)
        list.push_back(made(Trial::room, "", "Record the room with the board unpowered, everything else as it is.",
                            "--room FILE"));
    else if (bench.findings.unit.far.empty())
        list.push_back(made(Trial::far, "",
                            "Move the microphone from 3 cm to 60 cm, the board in the same state, and record 10 s.",
                            "--far FILE"));
    double longest = 0.0;
    for (const tones::Take& take : bench.findings.unit.takes) longest = std::max(longest, take.found.seconds);
    if (longest < 0.5 * longest_seconds)
        list.push_back(made(Trial::longer, "", "Record " + as_typed(longest_seconds) + " s in one piece.", "FILE",
                            longest_seconds));
}

Alternative all_of(std::size_t tones, double probability, Kind kind) {
    return {probability, std::vector<Effect>(tones, Effect{kind, 0.0})};
}

/// The tones are heard again, or not, with the given probability.
std::vector<Alternative> heard_again(std::size_t tones, double probability) {
    std::vector<Alternative> list{all_of(tones, probability, Kind::stays),
                                  all_of(tones, 1.0 - probability, Kind::goes)};
    if (probability < 0.5) std::swap(list[0], list[1]);
    return list;
}

/// The tones fall far with the distance, or hardly.
std::vector<Alternative> falls(std::size_t tones, double probability) {
    std::vector<Alternative> list{all_of(tones, probability, Kind::falls),
                                  all_of(tones, 1.0 - probability, Kind::stays)};
    if (probability < 0.5) std::swap(list[0], list[1]);
    return list;
}

/// Probability that the loudest of the tones is found where resonances are other ones.
double found_elsewhere(const TrialView& bench, const std::vector<Attribution::Made>& made) {
    double most = 0.0;
    for (const Attribution::Made& one : made) {
        const tones::UnitTone& tone = bench.tone(one.tone);
        const tones::Tones& found = bench.findings.unit.takes[0].found;
        if (found.floor.empty()) continue;
        const double over = tone.tone.level_dbfs - tones::floor_at(found, tone.tone.hz).steady_above_dbfs;
        most = std::max(
            most, normal_below(over / std::hypot(bench.parameters.line_scatter_db, bench.parameters.take_scatter_db)));
    }
    return most;
}

std::vector<Alternative> moved(const TrialView& bench, const std::vector<Attribution::Made>& made,
                               const std::vector<double>& lines) {
    const MatchParameters& p = bench.parameters;
    const double found = p.sings_when_active * found_elsewhere(bench, made);
    std::vector<Effect> effects;
    bool moves = false;
    for (std::size_t i = 0; i < made.size(); ++i) {
        const bool still = std::abs(lines[i] / bench.tone(made[i].tone).tone.hz - 1.0) < same_line_as;
        moves = moves || !still;
        effects.push_back(still ? Effect{Kind::stays, 0.0} : Effect{Kind::moves, lines[i]});
    }
    if (!moves) return heard_again(made.size(), p.sings_when_active);
    return {{found * (1.0 - p.state_error), effects},
            all_of(made.size(), (1.0 - found) * (1.0 - p.state_error), Kind::goes),
            all_of(made.size(), p.state_error, Kind::stays)};
}

std::vector<Alternative> of_declared(const TrialView& bench, const Experiment& experiment, int index,
                                     const std::vector<Attribution::Made>& made) {
    const MatchParameters& p = bench.parameters;
    const board::Rate& rate = bench.rate(index);
    const std::size_t tones = made.size();
    const auto again = [&](bool runs) { return heard_again(tones, runs ? p.sings_when_active : p.state_error); };
    switch (experiment.kind) {
        case Trial::state:
            return again(bench.sheet.active(rate, bench.sheet.state_index(experiment.what)));
        case Trial::part_off: {
            bool runs = bench.part(index).id != experiment.what;
            for (const Attribution::Made& one : made)
                if (one.other >= 0 && bench.part(one.other).id == experiment.what) runs = false;
            return again(runs);
        }
        case Trial::moved_rate: {
            int which = 0;
            while (bench.rate(which).full_name != experiment.what) ++which;
            std::vector<double> lines;
            for (const Attribution::Made& one : made)
                lines.push_back(moved_hz(bench.tone(one.tone), one, which, experiment.hz / bench.rate(which).hz));
            return moved(bench, made, lines);
        }
        case Trial::sample_rate: {
            std::vector<double> lines;
            for (const Attribution::Made& one : made) {
                const double hz = bench.tone(one.tone).tone.hz;
                const double true_hz =
                    std::abs(one.slope_hz) + (hz - board::fold(std::abs(one.slope_hz), bench.sample_rate_hz())) *
                                                 (one.slope_hz < 0.0 ? -1.0 : 1.0);
                lines.push_back(board::about(one.kind).folds ? board::fold(true_hz, experiment.hz) : hz);
            }
            return moved(bench, made, lines);
        }
        case Trial::room:
            return {all_of(tones, 1.0, Kind::stays)};
        case Trial::far:
            return falls(tones, 1.0 - p.far_astray);
        case Trial::longer:
            return {all_of(tones, 1.0, Kind::stays)};
        case Trial::load:
            return heard_again(tones,
                               rate.full_name == experiment.what ? 1.0 - p.load_ends_burst : p.sings_when_active);
        case Trial::warm: {
            const bool own = bench.part(index).id == experiment.what || rate.full_name == experiment.what;
            const double drifts = own && is_loose(rate, p) ? p.warmth_moves : p.warmth_moves_others;
            std::vector<Alternative> list{all_of(tones, drifts, Kind::drifts),
                                          all_of(tones, 1.0 - drifts, Kind::stays)};
            if (drifts < 0.5) std::swap(list[0], list[1]);
            return list;
        }
        case Trial::press: {
            const bool own = bench.part(index).id == experiment.what || rate.full_name == experiment.what;
            const double tells = own ? p.press_tells : p.press_misleads;
            std::vector<Alternative> list{all_of(tones, tells, Kind::changes_level),
                                          all_of(tones, 1.0 - tells, Kind::stays)};
            if (tells < 0.5) std::swap(list[0], list[1]);
            return list;
        }
    }
    return {};
}

std::vector<Alternative> of_nobody(const TrialView& bench, const Experiment& experiment) {
    const MatchParameters& p = bench.parameters;
    const double again = p.background_in_take;
    switch (experiment.kind) {
        case Trial::state:
            return heard_again(1, again);
        // Nothing but the named part changes, so what is not its own stays, or not as from one take to the next.
        case Trial::part_off:
        case Trial::load:
        case Trial::moved_rate:
        case Trial::sample_rate:
            return heard_again(1, std::max(again, p.undeclared_stays));
        case Trial::room:
            return {all_of(1, 1.0 - p.room_share, Kind::stays), all_of(1, p.room_share, Kind::is_in_room)};
        case Trial::far:
            return falls(1, p.far_beside);
        case Trial::longer:
            return {all_of(1, 1.0, Kind::stays)};
        case Trial::warm:
            return {all_of(1, 1.0 - p.undeclared_drifts, Kind::stays), all_of(1, p.undeclared_drifts, Kind::drifts)};
        case Trial::press:
            return {all_of(1, 1.0 - p.press_misleads, Kind::stays), all_of(1, p.press_misleads, Kind::changes_level)};
    }
    return {};
}

}  // namespace

bool Effect::looks_like(const Effect& other) const {
    if (effect != other.effect) return false;
    return hz == other.hz || std::abs(hz - other.hz) < same_line_as * std::max(hz, other.hz);
}

const tones::UnitTone& TrialView::tone(int id) const {
    return *std::find_if(findings.unit.tones.begin(), findings.unit.tones.end(),
                         [&](const tones::UnitTone& tone) { return tone.id == id; });
}

const board::Part& TrialView::part(int rate_index) const {
    static const board::Part none{};
    const int index = rate(rate_index).part;
    return index >= 0 && index < static_cast<int>(sheet.parts.size()) ? sheet.parts[static_cast<std::size_t>(index)]
                                                                      : none;
}

double TrialView::sample_rate_hz() const {
    return findings.unit.takes[0].found.sample_rate_hz;
}

std::vector<Experiment> possible_trials(const TrialView& bench) {
    std::vector<Experiment> list;
    add_states(bench, list);
    add_interventions(bench, list);
    add_recordings(bench, list);
    return list;
}

std::vector<Alternative> alternatives(const TrialView& bench, const Experiment& experiment, int rate,
                                      const std::vector<Attribution::Made>& made) {
    return rate < 0 ? of_nobody(bench, experiment) : of_declared(bench, experiment, rate, made);
}

// From 10 s on, 20 s pieces add as amplitudes and the rest as powers: 3 dB and 2.4 dB for 60 s.
Emerging emerging_line(const TrialView& bench, int index) {
    const MatchParameters& p = bench.parameters;
    const board::Rate& rate = bench.rate(index);
    const tones::Take* longest = nullptr;
    for (const tones::Take& take : bench.findings.unit.takes)
        if (!longest || take.found.seconds > longest->found.seconds) longest = &take;
    Emerging best;
    if (rate.wanders() || !longest || longest->found.floor.empty() || !(longest->found.seconds > 0.0)) return best;
    const double gain_db = 10.0 * std::log10(std::max(1.0, p.coherent_seconds / longest->found.seconds)) +
                           5.0 * std::log10(longest_seconds / std::max(p.coherent_seconds, longest->found.seconds));
    double loudest = -1e9;
    std::set<int> heard;
    for (const Attribution& attribution : bench.findings.attributions)
        for (const Attribution::Made& made : attribution.made) {
            if (made.rate != index || made.kind != board::LineKind::harmonic) continue;
            heard.insert(made.order);
            loudest = std::max(loudest,
                               bench.tone(made.tone).tone.level_dbfs - harmonic_envelope_db(p, rate.shape, made.order));
        }
    double none = 1.0, most = 0.0;
    for (int n = 1; n <= most_orders; ++n) {
        const double hz = n * rate.hz;
        if (heard.count(n) || heard.empty() || hz < longest->found.usable.low_hz || hz > longest->found.usable.high_hz)
            continue;
        const double mean = loudest + harmonic_envelope_db(p, rate.shape, n);
        const double above = tones::floor_at(longest->found, hz).steady_above_dbfs;
        const double seen_now = normal_below((mean - above) / p.line_scatter_db);
        const double seen_then = normal_below((mean - above + gain_db) / p.line_scatter_db);
        const double emitted = harmonic_emission(p, rate.shape, 0, n);
        const double chance = emitted * (seen_then - seen_now) / (1.0 - emitted * seen_now);
        none *= 1.0 - chance;
        if (chance > most) most = chance, best.hz = hz;
    }
    best.probability = 1.0 - none;
    return best;
}

}  // namespace tattletone::match
