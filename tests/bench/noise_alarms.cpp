// How many recordings without a board hold a board tone all the same.
//     noise_alarms [RECORDINGS]          1000 by default, seeds from 7 000 000
// White, pink and brown noise, speech, music, typing and rain-like drops, the last four over pink noise.
#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <thread>
#include <vector>

#include "bench/bench_tone.h"
#include "support/events.h"
#include "support/names.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

constexpr const char* kinds[] = {"white", "pink", "brown", "speech", "music", "typing", "drops"};
constexpr std::size_t kind_count = std::size(kinds);
// Of the kinds behind the coloured noises.
constexpr decltype(&add_speech) events[] = {add_speech, add_music, add_typing, add_drops};
constexpr std::size_t coloured = kind_count - std::size(events);

// One pole near 0 makes 6 dB an octave above 20 Hz; a sum of three such at different corners, 3 dB.
void add_coloured(Signal& signal, std::size_t kind, Random& random) {
    double brown = 0.0, slow = 0.0, middle = 0.0, quick = 0.0;
    for (double& x : signal) {
        const double w = random.normal();
        brown = 0.9974 * brown + w;
        slow = 0.99765 * slow + 0.0990460 * w;
        middle = 0.963 * middle + 0.2965164 * w;
        quick = 0.57 * quick + 1.0526913 * w;
        if (kind == 0)
            x += 0.01 * w;
        else if (kind == 2)
            x += 0.0005 * brown;
        else
            x += 0.003 * (slow + middle + quick + 0.1848 * w);  // P. Kellet's pink filter, from memory
    }
}

Recording make(std::size_t kind, std::uint64_t seed) {
    Random random(seed);
    Signal signal(static_cast<std::size_t>(bench_seconds * bench_rate_hz));
    add_coloured(signal, kind, random);
    if (kind >= coloured) events[kind - coloured](signal, bench_rate_hz, 0.05, random);
    Recording recording;
    recording.sample_rate_hz = bench_rate_hz;
    recording.origin = kinds[kind];
    recording.samples.assign(signal.begin(), signal.end());
    return recording;
}

}  // namespace

int main(int argc, char** argv) {
    const int count = argc > 1 ? std::atoi(argv[1]) : 1000;
    constexpr int workers = 2;
    std::vector<std::vector<int>> alarms(workers, std::vector<int>(kind_count)), made = alarms;
    std::vector<std::thread> threads;
    for (int worker = 0; worker < workers; ++worker)
        threads.emplace_back([&, worker] {
            const auto mine = static_cast<std::size_t>(worker);
            for (int i = worker; i < count; i += workers) {
                const std::size_t kind = static_cast<std::size_t>(i) % kind_count;
                FindOptions options;
                options.threads = 1;
                const Tones tones = find_tones(make(kind, 7000000u + static_cast<std::uint64_t>(i)), options);
                ++made[mine][kind];
                for (const Tone& tone : tones.tones)
                    if (tone.origin == Origin::board) {
                        ++alarms[mine][kind];
                        std::fprintf(stderr, "seed %d %s: %.2f Hz, %s, %.1f dB over its threshold\n", 7000000 + i,
                                     kinds[kind], tone.hz, tone.steady ? "steady" : "moving", tone.evidence);
                        break;
                    }
            }
        });
    for (std::thread& thread : threads) thread.join();
    int all = 0, total = 0;
    for (std::size_t kind = 0; kind < kind_count; ++kind) {
        int hits = 0, of = 0;
        for (int worker = 0; worker < workers; ++worker) {
            hits += alarms[static_cast<std::size_t>(worker)][kind];
            of += made[static_cast<std::size_t>(worker)][kind];
        }
        std::printf("%-7s %d of %d\n", kinds[kind], hits, of);
        all += hits;
        total += of;
    }
    std::printf("recordings of noise with a board tone: %.2f %% (%d of %d)\n", 100.0 * all / total, all, total);
    return 0;
}
