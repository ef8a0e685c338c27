// More of the same evidence never lowers the true suspect. Referee of MODEL.md 8.1.

#include <catch2/catch.hpp>

#include <cstdio>
#include <random>

#include "match/cases.h"
#include "support/names.h"
#include "support/random.h"
#include "support/signals.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::cases;
using tattletone::scenes::Random;
using tattletone::scenes::Signal;

namespace {

/// The rates of samples/limpet.toml.
const Board limpet = Board()
                         .states({"sounding", "reading", "docked"})
                         .rate("sounder.frame", 3200, 30, Shape::pulse, {0})
                         .rate("valve.hold", 12207.03125, 5000, Shape::sine, {0})
                         .rate("screen.row", 4320, 100, Shape::pulse, {1})
                         .rate("lamp.dimming", 976.5625, 50, Shape::square, {1})
                         .rate("bias-pump.charge", 6600, 40000, Shape::square)
                         .wandering("core-regulator.burst", 2500, 30000)
                         .rate("link.frame", 1000, 500, Shape::pulse, {2});

struct Line {
    double hz = 0.0, over_noise_db = 0.0;  ///< its power over the noise in 1 Hz
};

/// A take of its own: other noise, other phases.
Take heard(const std::vector<Line>& lines, double seconds, const std::string& state, Random& random) {
    constexpr double fs = 48000.0, rms = 1e-3;
    Signal signal(static_cast<std::size_t>(seconds * fs));
    for (double& value : signal) value = rms * random.normal();
    for (const Line& line : lines) {
        const double density = rms * rms / (0.5 * fs);
        const double amplitude = std::sqrt(2.0 * density * std::pow(10.0, 0.1 * line.over_noise_db));
        scenes::add_line(signal, fs, line.hz, amplitude, random.uniform(0.0, 6.28));
    }
    Recording recording;
    recording.samples = scenes::quantise_16_bit(signal);
    recording.sample_rate_hz = fs;
    Take take;
    take.state = state;
    FindOptions options;
    options.threads = 1;
    take.found = find_tones(recording, options);
    return take;
}

double most_of_others(const Findings& findings, const std::string& rate) {
    double most = 0.0;
    for (const Suspect& suspect : findings.suspects)
        if (suspect.rate != rate) most = std::max(most, suspect.probability);
    return most;
}

struct Case {
    const char* name;
    const char* rate;
    const char* state;
    std::vector<Line> lines;
};

// C/N0 in dB-Hz: 20 dB-Hz are found in nearly every take of 3 s, 13 in some.
const std::vector<Case> unit_cases = {
    {"two lines of a pulse", "sounder.frame", "sounding", {{3200.02, 26}, {6400.04, 22}}},
    {"its first line alone", "sounder.frame", "sounding", {{3200.02, 26}}},
    {"two lines, the second found now and then", "sounder.frame", "sounding", {{3200.02, 22}, {6400.04, 12.5}}},
    {"three lines of a square wave", "lamp.dimming", "reading", {{976.57, 26}, {2929.71, 22}, {4882.85, 20}}},
    {"a loose rate that always runs", "bias-pump.charge", "", {{6571.3, 26}, {19713.9, 21}}},
    {"a row rate", "screen.row", "reading", {{4319.9, 26}, {8639.8, 21}, {12959.7, 21}}},
};

// How far a step may fall by what noise does to the tones that are found: 0.5 in log-odds, chosen. A take in which a
// weak line is missed costs a tenth of that; the defect that this test is for (0.99 with 5 takes, 0.86 with 12) was a
// fall by 2.8. Beyond 0.01 and 0.99 nothing is told apart.
bool has_fallen(double before, double now) {
    const auto log_odds = [](double p) {
        return std::log(std::clamp(p, 0.01, 0.99) / (1.0 - std::clamp(p, 0.01, 0.99)));
    };
    return log_odds(now) < log_odds(before) - 0.5;
}

}  // namespace

TEST_CASE("more takes of the same sound never lower the rate that makes it, nor raise another", "[statistics]") {
    const std::uint64_t seed = 20261129;
    std::printf("takes of the same sound: seed %llu\n", static_cast<unsigned long long>(seed));
    Random random(seed);
    for (const Case& one : unit_cases)
        for (int round = 0; round < 3; ++round) {
            std::vector<Take> takes;
            for (int i = 0; i < 15; ++i) takes.push_back(heard(one.lines, 3.0, "", random));
            const Take room = heard({}, 3.0, "", random);
            for (const bool said : {false, true})
                for (const bool with_room : {false, true}) {
                    double before = 0.0;
                    for (const std::size_t count : {1u, 2u, 3u, 5u, 8u, 12u, 15u}) {
                        std::vector<Take> some(takes.begin(), takes.begin() + static_cast<std::ptrdiff_t>(count));
                        if (said)
                            for (Take& take : some) take.state = one.state;
                        const Findings findings =
                            diagnose(&limpet.sheet(), unite(std::move(some), with_room ? &room.found : nullptr));
                        const double now = probability(findings, one.rate);
                        INFO(one.name << ", round " << round << ", " << count << " takes, state "
                                      << (said ? "said" : "not said") << (with_room ? ", with the room" : "")
                                      << ": before " << before << ", now " << now);
                        CHECK(!has_fallen(before, now));
                        CHECK(most_of_others(findings, one.rate) < 0.5);
                        before = now;
                    }
                }
        }
}

TEST_CASE("a take with what a rate makes raises it, whatever was said of the others") {
    const std::uint64_t seed = 20261130;
    std::printf("a take more: seed %llu\n", static_cast<unsigned long long>(seed));
    Random random(seed);
    const Case& one = unit_cases[0];
    std::vector<Take> takes;
    for (int i = 0; i < 8; ++i) takes.push_back(heard(one.lines, 3.0, i % 2 == 0 ? one.state : "", random));
    double before = 0.0;
    for (std::size_t count = 1; count <= takes.size(); ++count) {
        std::vector<Take> some(takes.begin(), takes.begin() + static_cast<std::ptrdiff_t>(count));
        const Findings given = diagnose(&limpet.sheet(), unite(some, nullptr));
        std::reverse(some.begin(), some.end());
        const Findings turned = diagnose(&limpet.sheet(), unite(some, nullptr));
        INFO(count << " takes, every other one with its state");
        CHECK(!has_fallen(before, probability(given, one.rate)));
        CHECK(probability(turned, one.rate) == Approx(probability(given, one.rate)).margin(1e-9));
        before = probability(given, one.rate);
    }
    CHECK(before > 0.99);
}

// By hand, without noise: what the takes alone do.
TEST_CASE("takes whose state is not said are not charged for anew each") {
    const Board board =
        Board().states({"x", "y"}).rate("a", 3200, 30, Shape::pulse, {0}).rate("pump", 6600, 40000, Shape::square);
    double before = 0.0;
    for (const std::size_t count : {1u, 2u, 5u, 12u, 15u, 40u}) {
        const std::vector<Take> takes(count, take({tone(3200.02), tone(6400.04, 9)}));
        const Findings findings = diagnose(&board.sheet(), unite(takes, nullptr));
        INFO(count << " takes");
        CHECK(probability(findings, "a") >= before - 1e-6);
        CHECK(probability(findings, "a") > 0.99);
        CHECK(probability(findings, "pump") < 0.05);
        before = probability(findings, "a");
    }
}
