// What clipping makes of tones, and a tone that sounds in bursts. Referee of DETECTION.md 12.1 and 12.2.

#include <catch2/catch.hpp>

#include <cstdio>

#include "support/names.h"
#include "support/random.h"
#include "support/signals.h"
#include "tones/detect/condition.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

constexpr double fs = 48000.0;

struct Part {
    double hz = 0.0, amplitude = 0.0;
};

Signal sum_of(const std::vector<Part>& parts, double seconds, double noise_rms, Random& random) {
    Signal signal(static_cast<std::size_t>(seconds * fs));
    for (double& value : signal) value = noise_rms * random.normal();
    for (const Part& part : parts) add_line(signal, fs, part.hz, part.amplitude, random.uniform(0.0, 6.28));
    return signal;
}

Signal gated(double hz, double amplitude, double pace_hz, double duty, double seconds, Random& random) {
    Signal signal(static_cast<std::size_t>(seconds * fs));
    add_line(signal, fs, hz, amplitude, random.uniform(0.0, 6.28));
    for (std::size_t i = 0; i < signal.size(); ++i) {
        const double at = static_cast<double>(i) / fs * pace_hz;
        if (at - std::floor(at) > duty) signal[i] = 0.0;
    }
    return signal;
}

void add(Signal& to, const Signal& other) {
    for (std::size_t i = 0; i < to.size(); ++i) to[i] += other[i];
}

Tones heard(const Signal& signal) {
    Recording recording;
    recording.samples = quantise_16_bit(signal);
    recording.sample_rate_hz = fs;
    FindOptions options;
    options.threads = 1;
    return find_tones(recording, options);
}

bool is_at(const Tone& tone, double hz) {
    return std::abs(tone.hz - hz) < 0.05;
}

const Tone* near(const Tones& tones, double hz, double reach_hz = 0.05) {
    for (const Tone& tone : tones.tones)
        if (std::abs(tone.hz - hz) < reach_hz) return &tone;
    return nullptr;
}

/// Nearest |k1 f1 + k2 f2|, k1 + k2 odd, as half the sample rate folds it: written out, not as the program does it.
double nearest_product(double hz, double f1, double f2) {
    double best = 1e9;
    for (int k1 = -99; k1 <= 99; ++k1)
        for (int k2 = -12; k2 <= 12; ++k2) {
            const int order = std::abs(k1) + std::abs(k2);
            if (order % 2 == 0 || order < 3) continue;
            double at = std::abs(k1 * f1 + k2 * f2);
            while (at > fs) at -= fs;
            if (at > 0.5 * fs) at = fs - at;
            if (std::abs(at - hz) < std::abs(best - hz)) best = at;
        }
    return best;
}

}  // namespace

TEST_CASE("all that clipping makes of two tones is told as made by it, and nothing else is") {
    const std::uint64_t seed = 20261129;
    std::printf("clipping: seed %llu\n", static_cast<unsigned long long>(seed));
    Random random(seed);
    const double f1 = 3200.13, f2 = 4310.77, bystander_hz = 7777.1;
    for (const double gain : {1.5, 3.0}) {
        // The bystander is there after the clipping, as a tone of the recorder would be.
        Signal signal = sum_of({{f1, 0.8}, {f2, 0.45}}, 8.0, 1e-2, random);
        for (double& value : signal) value = std::clamp(gain * value, -1.0, 1.0) * 0.99;
        add(signal, sum_of({{bystander_hz, 3e-3}}, 8.0, 0.0, random));
        for (double& value : signal) value = std::clamp(value, -0.99, 0.99);
        const Tones tones = heard(signal);
        int products = 0;
        for (const Tone& tone : tones.tones) {
            INFO("gain " << gain << ": " << tone.hz << " Hz, " << tone.level_dbfs << " dBFS");
            if (is_at(tone, f1) || is_at(tone, f2)) CHECK(tone.product_hz == 0.0);
            if (tone.product_hz > 0.0) {
                CHECK(std::abs(nearest_product(tone.hz, f1, f2) - tone.hz) < 0.1);
                CHECK(tone.origin == Origin::unsure);
                ++products;
            }
        }
        REQUIRE(near(tones, f1));
        REQUIRE(near(tones, f2));
        // Two of the strongest, which every limit makes: 2 f1 - f2 and 3 f1.
        for (const double hz : {2.0 * f1 - f2, 3.0 * f1}) {
            const Tone* const product = near(tones, hz, 0.2);
            INFO("gain " << gain << ", " << hz << " Hz");
            REQUIRE(product);
            CHECK(product->product_hz == Approx(hz).margin(0.1));
        }
        const auto left = std::count_if(tones.tones.begin(), tones.tones.end(), [&](const Tone& tone) {
            const bool known = is_at(tone, f1) || is_at(tone, f2) || is_at(tone, bystander_hz);
            return tone.product_hz == 0.0 && tone.origin == Origin::board && !known;
        });
        std::printf("gain %.1f: %d of %zu tones are products, %d unexplained\n", gain, products, tones.tones.size(),
                    static_cast<int>(left));
        CHECK(static_cast<double>(left) <= 0.15 * static_cast<double>(tones.tones.size()));
        const Tone* const bystander = near(tones, bystander_hz);
        if (bystander) CHECK(bystander->product_hz == 0.0);
    }
    // Not clipped, the same tones at such places are what they are.
    const Tones loud = heard(sum_of({{f1, 0.5}, {f2, 0.3}, {2.0 * f1 - f2, 0.01}}, 8.0, 1e-3, random));
    for (const Tone& tone : loud.tones) CHECK(tone.product_hz == 0.0);
}

TEST_CASE("a tone too high for three samples at the limit is seen to be clipped all the same") {
    Random random(7);
    for (const double hz : {15625.1, 11025.3, 977.0}) {
        Signal signal = sum_of({{hz, 1.0}}, 2.0, 1e-3, random);
        tones::ConditionMeter whole(fs), clipped(fs);
        std::vector<float> quiet = quantise_16_bit(sum_of({{hz, 0.9}}, 2.0, 1e-3, random));
        for (double& value : signal) value = std::clamp(2.0 * value, -0.9, 0.9);
        whole.add(quiet);
        clipped.add(quantise_16_bit(signal));
        CHECK_FALSE(whole.clipped());
        CHECK(clipped.clipped());
        // A sine twice as large as the limit is over it for 2/π acos(0.45) of the time.
        CHECK(clipped.clipped_share() == Approx(2.0 / 3.14159265 * std::acos(0.45)).epsilon(0.05));
    }
}

TEST_CASE("a steady tone in bursts is one tone, between its sidebands, with their pace") {
    const std::uint64_t seed = 20261130;
    std::printf("bursts: seed %llu\n", static_cast<unsigned long long>(seed));
    Random random(seed);
    for (const double pace_hz : {3.1, 7.3, 12.5, 39.0})
        for (const double duty : {0.1, 0.3, 0.5, 0.6}) {
            const double hz = 3200.13;
            Signal signal = sum_of({}, 8.0, 1e-3, random);
            add(signal, gated(hz, 0.01, pace_hz, duty, 8.0, random));
            add(signal, gated(2.0 * hz, 0.006, pace_hz, duty, 8.0, random));
            const Tones tones = heard(signal);
            std::string all;
            for (const Tone& tone : tones.tones) all += std::to_string(tone.hz) + (tone.steady ? " " : " moving ");
            INFO(all);
            INFO(pace_hz << " Hz, on for " << duty);
            for (const double at : {hz, 2.0 * hz}) {
                const Tone* const tone = near(tones, at);
                CHECK(tone);
                if (!tone) continue;
                CHECK(tone->origin == Origin::board);
                CHECK(tone->bursts_hz == Approx(pace_hz).margin(0.005));
                CHECK(std::abs(tone->bursts_hz - pace_hz) < 5.0 * tone->bursts_hz_sd + 1e-4);
                CHECK(tone->sidebands.size() >= 2);
            }
            // Some are left that the gate, sharp from one sample to the next, mirrors at 0 Hz between the others.
            std::string left;
            int beside = 0;
            for (const Tone& tone : tones.tones)
                for (const double at : {hz, 2.0 * hz})
                    if (tone.origin == Origin::board && !is_at(tone, at) && std::abs(tone.hz - at) < 10.0 * pace_hz)
                        left += std::to_string(tone.hz) + " ", ++beside;
            INFO(left);
            CHECK(beside <= 4);
        }
}

TEST_CASE("what is no burst is left alone: a comb of a low rate, the mains' sidebands, lines at odd distances") {
    Random random(20261131);
    std::vector<Part> comb, mains{{4000.3, 0.02}}, odd{{4000.3, 0.02}};
    for (int n = 1; n <= 200; ++n) comb.push_back({31.25 * n, 0.004});
    for (const int n : {1, 2, 3})
        for (const int side : {-1, 1}) mains.push_back({4000.3 + side * 100.0 * n, 0.004 / n});
    for (const double apart : {-31.7, -9.1, 17.3, 25.9, 40.7}) odd.push_back({4000.3 + apart, 0.004});
    for (const auto* const parts : {&comb, &mains, &odd})
        for (const Tone& tone : heard(sum_of(*parts, 8.0, 1e-3, random)).tones) CHECK(tone.bursts_hz == 0.0);
}
