// Referee of MODEL.md 15, and of 6.2 for a rate that was seen elsewhere.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "match/model/deviation_prior.h"
#include "match/model/gauss.h"
#include "match/model/parameters.h"
#include "match/trace_match.h"
#include "support/names.h"
#include "support/random.h"

#include "cases.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

BoardSheet made_board() {
    BoardSheet sheet;
    sheet.name = "Test";
    sheet.rails = {Rail(), Rail()};
    sheet.rails[0].id = "3V3";
    sheet.rails[1].id = "12V";
    const auto add = [&](const std::string& name, int rail, double hz, double ppm) {
        Part part;
        part.id = part.name = name;
        part.rail = rail;
        sheet.parts.push_back(part);
        Rate rate;
        rate.id = "r";
        rate.full_name = name + ".r";
        rate.part = static_cast<int>(sheet.parts.size()) - 1;
        rate.hz = hz;
        rate.tolerance_ppm = ppm;
        sheet.rates.push_back(rate);
    };
    add("sounder", 0, 3200.0, 50.0);
    add("screen", 0, 4320.0, 100.0);
    add("valve", 0, 6500.0, 40000.0);
    add("pump", 1, 6600.0, 40000.0);
    return sheet;
}

TraceLine line(double hz, int rail, double sd = 0.05) {
    TraceLine line;
    line.column = "3V3";
    line.rail = rail;
    line.hz = hz;
    line.hz_sd = sd;
    return line;
}

double with(const BoardSheet& sheet, const UnitTones& unit, const TraceLine& seen, const std::string& rate) {
    TraceJoin join;
    join.line = seen;
    return probability(diagnose_with_trace(&sheet, unit, fitted_parameters(), {}, join), rate);
}

double odds(double p) {
    return p / (1.0 - p);
}

}  // namespace

TEST_CASE("the prior of a rate that a trace has seen is a density and agrees with its numeric convolution") {
    for (const bool uniform : {false, true}) {
        DeviationPrior prior;
        prior.uniform = uniform;
        prior.low = -0.03;
        prior.high = 0.03;
        prior.sd = 0.01;
        prior.outside_mass = uniform ? 0.0 : 0.05;
        prior.outside_sd = 0.02;
        prior.seen_mass = 0.6;
        prior.seen_x = 0.006;
        prior.seen_sd = 0.001;
        DeviationPrior unseen = prior;
        unseen.seen_mass = 0.0;
        const double card = uniform ? 0.0 : 5e-4, sd = 7e-4, step = 2e-5;
        double total = 0.0, norm = 0.0;
        for (double x = -0.15; x < 0.15; x += step) {
            total += step * smeared_density(prior, x, sd, card);
            norm += step * smeared_density(unseen, x, 1e-5, 0.0) *
                    std::exp(log_normal_density(prior.seen_x, x, prior.seen_sd));
        }
        CHECK(total == Approx(1.0).margin(2e-3));
        for (const double mean : {0.0, 0.005, 0.0063, 0.008}) {
            double convolved = 0.0;
            for (double x = -0.1; x < 0.1; x += step) {
                const double base = smeared_density(unseen, x, 1e-5, 0.0);
                const double seen = base * std::exp(log_normal_density(prior.seen_x, x, prior.seen_sd)) / norm;
                convolved += step * (0.4 * base + 0.6 * seen) * std::exp(log_normal_density(mean - card, x, sd));
            }
            INFO(mean);
            CHECK(smeared_density(prior, mean, sd, card) == Approx(convolved).epsilon(0.01));
        }
    }
}

TEST_CASE("a trace tells which declared rate it shows, by its frequency and its rail") {
    const BoardSheet sheet = made_board();
    const auto tight = causes_of(sheet, line(3200.1, 0), fitted_parameters());
    REQUIRE(!tight.empty());
    CHECK(tight[0].rate == "sounder.r");
    CHECK(tight[0].probability > 0.95);
    CHECK(tight[0].on_rail);
    // Two loose rates could be at 6570 Hz; the rail decides.
    const auto valve = causes_of(sheet, line(6570.0, 0), fitted_parameters());
    const auto pump = causes_of(sheet, line(6570.0, 1), fitted_parameters());
    CHECK(valve.at(0).rate == "valve.r");
    CHECK(pump.at(0).rate == "pump.r");
    CHECK(causes_of(sheet, line(6570.0, -1), fitted_parameters()).at(0).probability < 0.6);
    // The rate's double: two dips a period.
    const auto doubled = causes_of(sheet, line(6400.1, 0), fitted_parameters());
    const auto found =
        std::find_if(doubled.begin(), doubled.end(), [](const TraceCause& c) { return c.rate == "sounder.r"; });
    REQUIRE(found != doubled.end());
    CHECK(found->multiple == 2.0);
    double sum = 0.0;
    for (const TraceCause& cause : doubled) sum += cause.probability;
    CHECK(sum <= 1.0);
    // Nobody's.
    const auto nobody = causes_of(sheet, line(5000.0, 0), fitted_parameters());
    for (const TraceCause& cause : nobody) CHECK(cause.probability < 0.5);
}

TEST_CASE("the culprit's trace raises it, by frequency, and says the tone is the same") {
    const BoardSheet sheet = made_board();
    const auto unit = one_take({tone(6573.2)});
    const double alone = probability(diagnose(&sheet, unit), "valve.r");
    TraceJoin join;
    join.line = line(6573.1, 0);
    const Findings findings = diagnose_with_trace(&sheet, unit, fitted_parameters(), {}, join);
    INFO("alone " << alone << ", with the trace " << probability(findings, "valve.r"));
    CHECK(probability(findings, "valve.r") > 0.9);
    CHECK(alone < 0.6);
    CHECK(join.without.at("valve.r") == Approx(alone));
    REQUIRE(join.tones.size() == 1);
    CHECK(join.tones[0].same);
    CHECK(join.tones[0].sd_hz ==
          Approx(std::hypot(std::hypot(0.05, 0.004, 6573.1 * 50e-6), 6573.2 * fitted_parameters().card_sd_ppm * 1e-6))
              .epsilon(0.01));
    // By the rail that it is not on, the trace makes the other one of the two likelier.
    CHECK(with(sheet, unit, line(6573.1, 1), "valve.r") < with(sheet, unit, line(6573.1, 0), "valve.r"));
    CHECK(with(sheet, unit, line(6573.1, 1), "pump.r") > probability(diagnose(&sheet, unit), "pump.r"));
}

TEST_CASE("an innocent rate that dips does not become the singer of another one's tone") {
    const BoardSheet sheet = made_board();
    const auto unit = one_take({tone(4320.1), tone(8640.2)});
    const double alone = probability(diagnose(&sheet, unit), "screen.r");
    CHECK(alone > 0.9);
    CHECK(with(sheet, unit, line(3200.05, 0), "screen.r") == Approx(alone).margin(0.02));
    CHECK(with(sheet, unit, line(3200.05, 0), "sounder.r") < 0.1);
    CHECK(tones_beside(unit, line(3200.05, 0), 50.0).empty());
}

TEST_CASE("a trace of the suspect that is off its tone speaks against it, within its bound") {
    const BoardSheet sheet = made_board();
    const auto unit = one_take({tone(6573.2), tone(13146.4)});
    const double alone = probability(diagnose(&sheet, unit), "valve.r");
    const double against = with(sheet, unit, line(6450.0, 0), "valve.r");
    INFO("alone " << alone << ", against " << against);
    CHECK(against < alone);
    CHECK(odds(against) > odds(alone) * fitted_parameters().trace_astray / 2.0);
    // A rate seen by its own trace gets its prior odds times four at most, where frequencies add nothing.
    const auto quiet = one_take({tone(9999.0)});
    CHECK(with(sheet, quiet, line(3200.0, 0), "sounder.r") <=
          fitted_parameters().trace_odds_factor * std::max(0.02, probability(diagnose(&sheet, quiet), "sounder.r")));
}

TEST_CASE("tones beside the trace: the same, off by so many standard deviations, half, multiples") {
    const auto unit = one_take({tone(4800.1), tone(9599.8), tone(9640.0), tone(19200.2), tone(7000.0)});
    const auto beside = tones_beside(unit, line(9600.3, 0, 0.4), 50.0);
    REQUIRE(beside.size() == 4);
    CHECK(beside[0].multiple == 0.5);
    CHECK(beside[0].same);
    CHECK(beside[1].multiple == 1.0);
    CHECK(beside[1].same);
    CHECK(beside[1].difference_hz == Approx(-0.5));
    CHECK(beside[1].sd_hz == Approx(std::sqrt(0.4 * 0.4 + 0.004 * 0.004 + 2.0 * 0.48 * 0.48)).epsilon(1e-3));
    CHECK(!beside[2].same);
    CHECK(beside[3].multiple == 2.0);
    CHECK(beside[3].same);
    // A rate known badly is the same as everything, and that is said.
    CHECK(tones_beside(unit, line(500.0, 0, 20.0), 50.0).at(0).by_chance > 0.2);
}

TEST_CASE("rails are found in the names of columns") {
    const BoardSheet sheet = made_board();
    CHECK(rail_named(sheet, "3V3") == 0);
    CHECK(rail_named(sheet, "3v3 ripple") == 0);
    CHECK(rail_named(sheet, "CH1") == std::nullopt);
    CHECK(rail_named(sheet, "3V3 or 12V") == std::nullopt);
}

TEST_CASE("simulated benches: traces make the answer better and keep it honest") {
    const BoardSheet sheet = made_board();
    scenes::Random random(2026);
    double brier_alone = 0.0, brier_with = 0.0, said = 0.0;
    int sung = 0;
    constexpr int trials = 120;
    const MatchParameters parameters = fitted_parameters();
    for (int trial = 0; trial < trials; ++trial) {
        // One of the two loose rates sings or a stray tone lies in their windows; the trace is of the valve's rail and
        // shows the valve, or of the sounder.
        const double valve = 6500.0 * (1.0 + 0.02 * random.cut_normal(2.0)),
                     pump = 6600.0 * (1.0 + 0.02 * random.cut_normal(2.0));
        const double card = 1.0 + parameters.card_sd_ppm * 1e-6 * random.normal();
        const double which = random.uniform();
        const double hz = which < 0.4 ? valve : which < 0.7 ? pump : random.uniform(6350.0, 6750.0);
        const auto unit = one_take({tone(hz * card)});
        const bool shows_valve = random.chance(0.6);
        const double clock = 1.0 + 50e-6 * random.normal();
        const double seen = shows_valve ? valve * (1.0 + 0.002 * random.normal()) * clock
                                        : 3200.0 * (1.0 + 25e-6 * random.normal()) * clock;
        const double truth = which < 0.4;
        const double alone = probability(diagnose(&sheet, unit), "valve.r");
        const double both = with(sheet, unit, line(seen + 0.05 * random.normal(), 0), "valve.r");
        brier_alone += std::pow(alone - truth, 2) / trials;
        brier_with += std::pow(both - truth, 2) / trials;
        said += both;
        sung += which < 0.4;
    }
    INFO("Brier score " << brier_alone << " alone, " << brier_with << " with traces; said " << said << ", sung " << sung
                        << " of " << trials);
    CHECK(brier_with < 0.75 * brier_alone);
    CHECK(std::abs(said - sung) < 4.0 * std::sqrt(0.25 * trials));
}
