#include "bench/rejection_count.h"

#include <algorithm>
#include <cmath>

namespace tattletone::bench {
namespace {

std::vector<Passed> none_yet(const std::vector<KnownTone>& known, bool real) {
    Passed one;
    one.real = real;
    one.known.assign(known.size(), 0);
    return {one};
}

// Sorts tones that pass into a board's known lines and foreign ones.
void sort_tone(const Tone& tone, const std::vector<KnownTone>& known, Passed& passed) {
    bool foreign = true;
    for (std::size_t i = 0; i < known.size(); ++i) {
        if (std::abs(tone.hz - known[i].hz) > known[i].reach_hz) continue;
        foreign = false;
        passed.known[i] = known[i].counts ? 1 : 0;
    }
    if (foreign) passed.foreign.push_back(tone);
}

Passed passed_tones(const HeardRecording& recording, const Tones& tones) {
    Passed passed = none_yet(recording.known, recording.real).front();
    for (const Tone& tone : tones.tones)
        if (tone.origin == Origin::board) sort_tone(tone, recording.known, passed);
    return passed;
}

Passed passed_faint(const HeardRecording& recording, const Tones& tones) {
    Passed passed = none_yet(recording.known, recording.real).front();
    // A line that is a tone already needs no faint peak.
    std::vector<KnownTone> known = recording.known;
    for (KnownTone& one : known)
        for (const Tone& tone : tones.tones)
            if (std::abs(tone.hz - one.hz) < one.reach_hz) one.counts = false;
    for (const FaintLine& line : tones.faint) {
        Tone tone;
        tone.hz = line.hz;
        sort_tone(tone, known, passed);
    }
    return passed;
}

// The room's recording writes off what it holds; what is unsure for another reason may still
// accuse.
Passed passed_unit(const HeardUnit& unit, const RejectionLimits& limits) {
    Passed passed = none_yet(unit.known, false).front();
    const bool with_room = limits.room_sds > without_room;
    for (const UnitTone& tone : unite(unit.takes, with_room ? &unit.room : nullptr, {}, limits).tones)
        if (tone.tone.origin == Origin::board || tone.tone.origin == Origin::unsure)
            sort_tone(tone.tone, unit.known, passed);
    return passed;
}

bool holds(const std::vector<Tone>& tones, const Tone& tone) {
    const double reach_hz = tone.steady ? 0.5 : std::max(0.5, 0.002 * tone.hz);
    return std::any_of(tones.begin(), tones.end(),
                       [&](const Tone& other) { return std::abs(other.hz - tone.hz) < reach_hz; });
}

}  // namespace

std::pair<double, double> Share::interval() const {
    if (of == 0) return {0.0, 100.0};
    constexpr double z = 1.959964;
    const double n = of, p = count / n, centre = (p + z * z / (2.0 * n)) / (1.0 + z * z / n);
    const double half = z * std::sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n)) / (1.0 + z * z / n);
    return {100.0 * std::max(centre - half, 0.0), 100.0 * std::min(centre + half, 1.0)};
}

Effect compare(const std::vector<Passed>& without, const std::vector<Passed>& with) {
    Effect effect;
    for (std::size_t i = 0; i < without.size(); ++i) {
        const Passed &off = without[i], &on = with[i];
        Share& lost = off.real ? effect.lost_real : effect.lost_made;
        int lost_here = 0;
        for (std::size_t k = 0; k < off.known.size(); ++k) {
            lost.of += off.known[k];
            lost_here += off.known[k] && !on.known[k];
            effect.gained += on.known[k] && !off.known[k];
        }
        lost.count += lost_here;
        effect.recordings_lost += lost_here > 0;
        Share& kept = off.real ? effect.kept_real : effect.kept_made;
        int kept_here = 0;
        for (const Tone& tone : off.foreign) kept_here += !holds(on.foreign, tone);
        kept.of += static_cast<int>(off.foreign.size());
        kept.count += kept_here;
        effect.recordings_kept += kept_here > 0;
    }
    return effect;
}

std::vector<Passed> RejectionBench::passed(Again again, const RejectionLimits& limits) const {
    std::vector<Passed> result;
    if (again == Again::room) {
        for (const HeardUnit& unit : heard_.units) result.push_back(passed_unit(unit, limits));
        return result;
    }
    const bool search = again == Again::search || again == Again::faint_search;
    const bool faint = again == Again::faint || again == Again::faint_search;
    for (const HeardRecording& recording : heard_.recordings) {
        if (search && recording.samples.empty()) continue;
        const Tones tones = search ? tones_of(lines_of(recording.samples, recording.sample_rate_hz, limits), limits)
                                   : tones_of(recording.lines, limits);
        result.push_back(faint ? passed_faint(recording, tones) : passed_tones(recording, tones));
    }
    return result;
}

Effect RejectionBench::effect(const LimitNumber& number, double value) {
    auto& without = without_[{static_cast<int>(number.again), number.off}];
    if (without.empty()) {
        RejectionLimits limits;
        number.off(limits);
        without = passed(number.again, limits);
    }
    RejectionLimits limits;
    if (value != number.get(limits)) {
        number.set(limits, value);
        return compare(without, passed(number.again, limits));
    }
    auto& as_it_is = as_it_is_[static_cast<int>(number.again)];
    if (as_it_is.empty()) as_it_is = passed(number.again, limits);
    return compare(without, as_it_is);
}

Effect RejectionBench::alone(const LimitNumber& number) {
    RejectionLimits none, one;
    for (const LimitNumber& other : limit_numbers()) {
        if (!other.judges()) continue;
        other.off(none);
        if (other.off != number.off) other.off(one);
    }
    if (unjudged_.empty()) unjudged_ = passed(Again::gates, none);
    return compare(unjudged_, passed(Again::gates, one));
}

int RejectionBench::recordings(bool real) const {
    return static_cast<int>(std::count_if(heard_.recordings.begin(), heard_.recordings.end(),
                                          [&](const HeardRecording& one) { return one.real == real; }));
}

}  // namespace tattletone::bench
