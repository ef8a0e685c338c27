#include "match/model/faint.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "match/cases.h"
#include "support/names.h"
#include "support/random.h"
#include "tones/detect/steady.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

constexpr double seconds = 10.0, threshold = 21.0;

FaintLine faint(double hz, double statistic) {
    FaintLine line;
    line.hz = hz;
    line.hz_sd = std::sqrt(6.0 / statistic) / (2.0 * std::numbers::pi * seconds);
    line.level_dbfs = threshold_dbfs + 10.0 * std::log10(statistic / threshold);
    line.log_noise_density =
        std::log(noise_peaks_a_bin(statistic, 0.0) * seconds * statistic * 0.1 * std::numbers::ln10);
    return line;
}

Take with(std::vector<FaintLine> lines, std::vector<Tone> tones = {}, const std::string& state = "") {
    Take made = take(std::move(tones), state);
    std::sort(lines.begin(), lines.end(), [](const FaintLine& a, const FaintLine& b) { return a.hz < b.hz; });
    made.found.faint = std::move(lines);
    return made;
}

Findings ask(const Board& board, std::vector<Take> takes) {
    return diagnose(&board.sheet(), unite(std::move(takes), nullptr));
}

}  // namespace

TEST_CASE("a line too faint to be found counts where a crystal's harmonic would be") {
    const auto board = Board().rate("ranger.frame", 9600, 50).rate("pump.drive", 6500, 30000);
    const auto found = ask(board, {with({faint(9600.1, 15.0), faint(6530.0, 15.0)})});
    INFO(reasons(found, "ranger.frame"));
    CHECK(probability(found, "ranger.frame") > 0.9);
    CHECK(probability(found, "pump.drive") < 0.1);
    CHECK(reasons(found, "ranger.frame").find("fainter than a search of the whole band") != std::string::npos);
    REQUIRE(found.unit.tones.size() == 1);
    CHECK(found.unit.tones[0].tone.faint);
    CHECK(found.unit.tones[0].id == 1);
    CHECK(found.explained_by.at(1)[0].rate == "ranger.frame");
    // Lower, it is what noise makes, and no tone of the answer.
    const auto noise = ask(board, {with({faint(9600.1, 8.0)})});
    CHECK(probability(noise, "ranger.frame") < 0.3);
    CHECK(noise.verdict == Verdict::quiet);
}

TEST_CASE("faint harmonics that agree say together what none says alone") {
    const auto board = Board().rate("ranger.frame", 3200, 50);
    const auto one = ask(board, {with({faint(3200.05, 9.5)})});
    const auto three = ask(board, {with({faint(3200.05, 9.5), faint(6400.1, 9.5), faint(9600.15, 9.5)})});
    const auto apart = ask(board, {with({faint(3200.05, 9.5), faint(6400.9, 9.5), faint(9598.9, 9.5)})});
    CHECK(probability(three, "ranger.frame") > 0.95);
    CHECK(probability(one, "ranger.frame") < 0.8 * probability(three, "ranger.frame"));
    CHECK(probability(apart, "ranger.frame") < 0.8 * probability(three, "ranger.frame"));
}

TEST_CASE("the same faint line in two takes is more than in one") {
    const auto board = Board().rate("ranger.frame", 9600, 50);
    const double once = probability(ask(board, {with({faint(9600.1, 9.0)}), with({})}), "ranger.frame");
    const double twice =
        probability(ask(board, {with({faint(9600.1, 9.0)}), with({faint(9600.11, 9.0)})}), "ranger.frame");
    INFO(once << " and " << twice);
    CHECK(twice > 0.9);
    CHECK(once < 0.6);
}

TEST_CASE("noise alone is as often accused by faint lines as the probabilities say") {
    const auto board = Board()
                           .rate("ranger.frame", 9600, 50)
                           .rate("lamp.dimming", 976.5625, 50)
                           .rate("bus.frame", 1000, 500)
                           .rate("screen.line", 15734.266, 60)
                           .rate("clock.tick", 1024, 20)
                           .rate("video.line", 267, 50);
    scenes::Random random(4);
    constexpr int units = 300;
    int accused = 0;
    double sum = 0.0;
    for (int unit = 0; unit < units; ++unit) {
        std::vector<FaintLine> lines;
        // Peaks as noise makes them: at Rice's rate over 7, exponential from there on.
        const double expected = 20000.0 * seconds * noise_peaks_a_bin(7.0, 0.0);
        for (double at = 0.0; (at -= std::log(random.uniform(1e-12, 1.0))) < expected;)
            lines.push_back(
                faint(40.0 + 19900.0 * at / expected, std::min(7.0 - std::log(random.uniform(1e-12, 1.0)), threshold)));
        const Findings found = ask(board, {with(std::move(lines))});
        if (found.verdict == Verdict::named) ++accused;
        for (const Suspect& suspect : found.suspects) sum += suspect.probability;
    }
    INFO(accused << " of " << units << " accused, mean sum of probabilities " << sum / units);
    // Said of noise alone; were half of all boards singing faintly, a calibrated answer would still err this often.
    CHECK(accused <= 6);
    CHECK(sum / units < 0.06);
}
