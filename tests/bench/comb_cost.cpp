// comb_cost [RUNS]: what the search for combs costs. Ten seconds of noise with one declared line, a sheet of ten rates
// of which two are timed at 3 %: time of finding the tones and of the diagnosis, over that without the fine spectrum in
// the diagnosis; the least of the runs of either, taken in turns. Finding makes the fine spectrum in both.

#include <chrono>
#include <cstdio>

#include "bench/bench_tone.h"
#include "match/diagnose.h"
#include "support/names.h"
#include "support/random.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

BoardSheet ten_rates() {
    constexpr struct {
        double hz, ppm;
    } rates[] = {{120.0, 3e4},    {430.0, 3e4},   {1000.0, 100.0}, {2048.0, 50.0}, {3200.0, 30.0},
                 {4320.0, 100.0}, {217.0, 100.0}, {31.25, 50.0},   {8000.0, 50.0}, {640.0, 100.0}};
    BoardSheet sheet;
    sheet.name = "Bench";
    Part part;
    part.id = part.name = "part";
    sheet.parts.push_back(part);
    for (const auto& [hz, ppm] : rates) {
        Rate rate;
        rate.id = rate.full_name = "part." + std::to_string(static_cast<int>(hz));
        rate.hz = hz;
        rate.tolerance_ppm = ppm;
        sheet.rates.push_back(rate);
    }
    return sheet;
}

template <class Work>
double seconds_of(Work&& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

}  // namespace

int main(int argc, char** argv) {
    const int runs = trials_asked(argc, argv, 15);
    if (runs == 0) return 2;
    Random random(16);
    Recording recording;
    recording.sample_rate_hz = bench_rate_hz;
    recording.origin = "bench";
    Signal signal(static_cast<std::size_t>(bench_seconds * bench_rate_hz));
    NoiseSource{bench_noise_rms, {}}.add_to(signal, random);
    add_line(signal, bench_rate_hz, 3200.05, 0.01 * bench_noise_rms * 3.0, 0.3);
    recording.samples = quantise_16_bit(signal);
    const BoardSheet sheet = ten_rates();
    FindOptions options;
    options.threads = 1;
    double finding = 1e9, least[2] = {1e9, 1e9}, blind = 1e9;
    for (int run = 0; run < runs; ++run) {
        Tones found;
        finding = std::min(finding, seconds_of([&] { found = find_tones(recording, options); }));
        for (const bool combs : {true, false}) {
            std::vector<Take> takes(1);
            takes[0].found = found;
            if (!combs) takes[0].found.fine = nullptr;
            const UnitTones unit = unite(std::move(takes), nullptr);
            least[combs] = std::min(least[combs], seconds_of([&] { diagnose(&sheet, unit); }));
            if (combs) blind = std::min(blind, seconds_of([&] { diagnose(nullptr, unit); }));
        }
    }
    std::printf("finding %.1f ms; diagnosis %.1f ms, without combs %.1f ms, without a sheet %.1f ms\n", 1e3 * finding,
                1e3 * least[1], 1e3 * least[0], 1e3 * blind);
    std::printf("with combs over without: %.2f\n", (finding + least[1]) / (finding + least[0]));
    return 0;
}
