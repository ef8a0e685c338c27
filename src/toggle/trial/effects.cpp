#include "toggle/trial/effects.h"

#include <algorithm>
#include <cmath>

#include "toggle/trial/pinned.h"
#include "toggle/trial/regression.h"

namespace tattletone::toggle {
namespace {

constexpr double normal_97_5 = 1.959964;   // standard normal quantile
constexpr double nepers_db = 4.342944819;  // 10 / ln 10
constexpr double least_share = 1e-4;       // of the louder power: as quiet as the other can be told

struct Powers {
    std::vector<double> line;
    double noise = 0.0;
    Regression regression;
};

Powers powers_of(const LineLevels& levels, const Plan& plan, const std::vector<StepWindow>& windows) {
    Powers powers;
    for (const StepWindow& window : windows) {
        const auto measured = levels.within(window.from, window.to);
        powers.line.push_back(measured.line);
        powers.noise += measured.noise / static_cast<double>(windows.size());
    }
    std::vector<std::vector<double>> columns;
    for (const Column& column : plan.columns) columns.push_back(over(windows, column));
    powers.regression = regress(powers.line, columns);
    return powers;
}

}  // namespace

std::vector<Effect> effects_on(const LineLevels& levels, const Plan& plan, const std::vector<StepWindow>& windows) {
    const Powers powers = powers_of(levels, plan, windows);
    const Regression& r = powers.regression;
    std::vector<Effect> effects;
    for (std::size_t part = 0; part < plan.columns.size(); ++part) {
        const std::size_t k = part + 1;
        const double on = r.coefficients[0] + 0.5 * r.coefficients[k],
                     off = r.coefficients[0] - 0.5 * r.coefficients[k];
        const double least = least_share * std::max({on, off, 1e-30});
        const double on_held = std::max(on, least), off_held = std::max(off, least);
        const double by_mean = 1.0 / on_held - 1.0 / off_held, by_change = 0.5 / on_held + 0.5 / off_held;
        const double variance = by_mean * by_mean * r.covariance[0][0] +
                                2.0 * by_mean * by_change * r.covariance[0][k] +
                                by_change * by_change * r.covariance[k][k];
        Effect effect;
        effect.change_db = nepers_db * std::log(on_held / off_held);
        effect.change_db_sd = nepers_db * std::sqrt(std::max(variance, 0.0));
        effect.low_db = effect.change_db - normal_97_5 * effect.change_db_sd;
        effect.high_db = effect.change_db + normal_97_5 * effect.change_db_sd;
        effects.push_back(effect);
    }
    return effects;
}

std::vector<double> shares_at_most(const LineLevels& levels, const Plan& plan, const std::vector<StepWindow>& windows) {
    const Powers powers = powers_of(levels, plan, windows);
    const Regression& r = powers.regression;
    const double tone = r.coefficients[0] - powers.noise, tone_sd = std::sqrt(r.covariance[0][0]);
    std::vector<double> shares;
    if (tone <= 3.0 * tone_sd) return shares;
    for (std::size_t k = 1; k <= plan.columns.size(); ++k)
        shares.push_back((std::abs(r.coefficients[k]) + normal_97_5 * std::sqrt(r.covariance[k][k])) / tone);
    return shares;
}

}  // namespace tattletone::toggle
