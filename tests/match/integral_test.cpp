#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "match/cases.h"
#include "match/model/deviation_prior.h"
#include "match/model/parameters.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

// The reference: MODEL.md 2, 3.2, 3.3, 4, 5.1, 6 and 9.1, summed by brute force on grids of the part's
// deviation and the card's error, with none of the match's code (no closed forms, no assignments).
namespace {

constexpr double ppm = 1e-6;

double normal(double x, double sd) {
    return std::exp(-0.5 * x * x / (sd * sd)) / (sd * std::sqrt(2.0 * std::numbers::pi));
}
double below(double z) {
    return 0.5 * std::erfc(-z / std::sqrt(2.0));
}

struct Heard {
    double hz, sd_hz, over_db;
};

/// Odds, for prior odds of 1, of "the pulse rate makes all that it can" against "nobody declared the
/// tones", for a single take with a flat threshold.
double brute_odds(double hz, double tolerance, const std::vector<Heard>& tones, const MatchParameters& p) {
    constexpr double step = 0.25 * ppm;
    const int reach = static_cast<int>((tolerance + 250 * ppm) / step);
    const int reach_part = static_cast<int>(tolerance / step);
    const int lines = static_cast<int>(20000.0 / hz);
    // Density of the sum x of deviation and card error.
    std::vector<double> density(static_cast<std::size_t>(2 * reach + 1), 0.0);
    double part_total = 0.0;
    for (int j = -reach_part; j <= reach_part; ++j)
        part_total += normal(j * step, 0.5 * tolerance) * (std::abs(j) == reach_part ? 0.5 : 1.0);
    for (int i = -reach; i <= reach; ++i) {
        double sum = 0.0;
        for (int j = -reach_part; j <= reach_part; ++j)
            sum += normal(j * step, 0.5 * tolerance) * (std::abs(j) == reach_part ? 0.5 : 1.0) / part_total *
                   normal((i - j) * step, p.card_sd_ppm * ppm);
        density[static_cast<std::size_t>(i + reach)] =
            (1.0 - p.outside_mass) * sum + p.outside_mass * normal(i * step, p.outside_sd);
    }
    std::vector<double> undeclared;
    for (const Heard& tone : tones)
        undeclared.push_back((p.room_per_octave * p.room_steady * std::exp(-tone.over_db / p.room_steady_level_db) /
                                  p.room_steady_level_db +
                              p.background_per_octave * p.background_steady *
                                  std::exp(-tone.over_db / p.background_level_db) / p.background_level_db) /
                             (tone.hz * std::numbers::ln2));
    double total = 0.0, weights = 0.0;
    for (int character = 0; character < 2; ++character)
        for (double level = -6.0; level < 50.0; level += 5.0) {
            const double weight = normal(level - p.level_mean_db, p.level_sd_db);
            weights += weight;
            double over_x = 0.0;
            for (int i = -reach; i <= reach; ++i) {
                const double x = i * step;
                double nothing = 1.0, everything = 1.0;
                for (int k = 1; k <= lines; ++k) {
                    const double fall = character == 0 ? p.pulse_fall : p.soft_pulse_fall;
                    const double emission = p.pulse_emission * std::pow(k, -fall);
                    const double mean = level - p.pulse_db_per_octave * std::log2(k);
                    const double missed = 1.0 - emission * (1.0 - below(-mean / p.line_scatter_db));
                    double line = missed;
                    for (std::size_t t = 0; t < tones.size(); ++t) {
                        const double sd = std::hypot(tones[t].sd_hz, p.model_error_ppm * ppm * k * hz);
                        line += emission * normal(tones[t].hz - k * hz * (1.0 + x), sd) *
                                normal(tones[t].over_db - mean, p.line_scatter_db) * 0.98 / undeclared[t];
                    }
                    nothing *= missed;
                    everything *= line;
                }
                over_x += density[static_cast<std::size_t>(i + reach)] * step * (everything - nothing);
            }
            total += weight * over_x;
        }
    return total / weights * p.crystal_steady;
}

double matched(double hz, double tolerance, const std::vector<Heard>& tones, MatchParameters p, double prior_odds) {
    p.singing_prior = prior_odds / (1.0 + prior_odds);
    p.family_prior = p.machine_prior = p.machine_prior_unheard = p.mains_prior = p.mains_heard_prior = 1e-9;
    const auto board = Board().rate("the.rate", hz, tolerance / ppm);
    std::vector<Tone> found;
    for (const Heard& heard : tones) found.push_back(tone(heard.hz, heard.over_db, Origin::board, heard.sd_hz));
    return probability(diagnose(&board.sheet(), one_take(found), p), "the.rate");
}

}  // namespace

TEST_CASE("the match agrees with a brute-force sum") {
    struct Case {
        double hz, tolerance;
        std::vector<Heard> tones;
    };
    const Case cases[] = {
        {7000, 100 * ppm, {{7000.3, 0.02, 12}}},
        {7000, 100 * ppm, {{6999.2, 0.05, 20}, {13998.5, 0.05, 6}}},
        {7000, 20 * ppm, {{7000.9, 0.03, 15}, {14001.7, 0.03, 9}}},
        {9000, 500 * ppm, {{18004.0, 0.02, 25}}},
        {7000, 50 * ppm, {{7000.0, 0.02, 8}, {11111.0, 0.02, 8}}},
    };
    MatchParameters p = fitted_parameters();
    p.round_share = 0.0;  // the sum below knows a smooth background only
    p.outside_mass_tight = p.outside_mass;
    for (const Case& each : cases) {
        const double odds = brute_odds(each.hz, each.tolerance, each.tones, p);
        for (const double expected : {0.2, 0.5, 0.8}) {
            const double prior_odds = expected / (1.0 - expected) / odds;
            INFO(each.hz << " Hz, " << each.tones.size() << " tones, odds " << odds << ", prior odds " << prior_odds);
            CHECK(matched(each.hz, each.tolerance, each.tones, p, prior_odds) == Approx(expected).margin(1e-3));
        }
    }
}

// MODEL.md 6.2.
TEST_CASE("the smeared prior is a density and agrees with its numeric convolution") {
    const DeviationPrior prior{false, 0.0, 0.0, 25 * ppm, 0.01, 0.03};
    double total = 0.0;
    for (double x = -0.2; x < 0.2; x += 1e-6) total += smeared_density(prior, x, 5 * ppm, 0.0) * 1e-6;
    CHECK(total == Approx(1.0).margin(1e-4));
    for (const double mean : {0.0, 30 * ppm, 48 * ppm, 60 * ppm}) {
        double sum = 0.0;
        constexpr double step = 0.02 * ppm;
        for (double x = -50 * ppm; x <= 50 * ppm; x += step)
            sum += normal(x, 25 * ppm) / (below(2) - below(-2)) * normal(x - mean + 10 * ppm, 5 * ppm) * step;
        const double outside = 0.01 * normal(mean - 10 * ppm, 0.03);
        CHECK(smeared_density(prior, mean, 5 * ppm, 10 * ppm) == Approx(0.99 * sum + outside).epsilon(2e-3));
    }
}
