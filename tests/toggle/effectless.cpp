#include "effectless.h"

#include <cmath>

#include "sound/clip/clip_reader.h"
#include "support/environment_clips.h"
#include "support/room.h"
#include "toggled_sound.h"

namespace tattletone::scenes {
namespace {

// On and off by itself, in steps much like a plan's: what an unrandomised comparison would take for a cause.
void add_switching_neighbour(Signal& signal, double sample_rate_hz, Random& random) {
    const double hz = random.log_uniform(300.0, 6000.0), dwell = random.log_uniform(0.3, 4.0);
    const double amplitude = 0.003 * std::pow(10.0, 0.05 * random.uniform(-20.0, 20.0));
    const bool regular = random.chance(0.5);
    double next = 0.0, phase = 0.0;
    bool on = false;
    for (std::size_t i = 0; i < signal.size(); ++i) {
        if (static_cast<double>(i) / sample_rate_hz >= next) {
            on = !on;
            next += regular ? dwell : -dwell * std::log(1.0 - random.uniform());
        }
        phase += 2.0 * std::numbers::pi * hz / sample_rate_hz;
        if (on) signal[i] += amplitude * std::sin(phase);
    }
}

sound::Recording real_room(double seconds, Random& random) {
    static const auto clips = environment_clips(TATTLETONE_SHARED_DIR "/real/environment");
    sound::Recording joined;
    while (!clips.empty() && joined.seconds() < seconds) {
        const auto clip = sound::read_clip(random.pick(clips).path.string());
        if (!clip) break;
        if (joined.samples.empty()) joined.sample_rate_hz = clip->sample_rate_hz;
        // The same room for a while: a clip is repeated so long.
        const int times = random.between(1, 4);
        if (clip->sample_rate_hz == joined.sample_rate_hz)
            for (int i = 0; i < times; ++i)
                joined.samples.insert(joined.samples.end(), clip->samples.begin(), clip->samples.end());
    }
    const auto wanted = static_cast<std::size_t>(seconds * joined.sample_rate_hz);
    if (joined.samples.size() > wanted) joined.samples.resize(wanted);
    joined.origin = "room";
    return joined;
}

}  // namespace

sound::Recording effectless(int kind, double seconds, Random& random) {
    constexpr double rate = 16000.0;
    if (kind % effectless_kinds == 5)
        if (sound::Recording real = real_room(seconds, random); real.seconds() > 0.99 * seconds) return real;
    Room room = room_for_16_khz(random);
    room.speech = kind % effectless_kinds == 1;
    room.music = kind % effectless_kinds == 2;
    room.speech_db = room.music_db = random.uniform(0.0, 20.0);
    if (kind % effectless_kinds == 3 && room.mains_hz == 0.0) {
        room.mains_hz = 50.0;
        room.mains_amplitudes = {0.002, 0.001, 0.002, 0.0005};
    }
    Signal signal = background_at_16_khz(room, static_cast<std::size_t>(seconds * rate), random);
    if (kind % effectless_kinds == 4) add_switching_neighbour(signal, rate, random);
    return recording_of(signal, rate);
}

}  // namespace tattletone::scenes
