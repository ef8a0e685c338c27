#include "toggle/trial/pinned.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "toggle/trial/regression.h"

namespace tattletone::toggle {
namespace {

std::vector<std::vector<double>> compared(const std::vector<LineLevels>& lines,
                                          const std::vector<StepWindow>& windows) {
    std::vector<std::vector<double>> levels;
    for (const LineLevels& line : lines) levels.push_back(compared_levels(line, windows));
    return levels;
}

}  // namespace

std::vector<double> over(const std::vector<StepWindow>& windows, const Column& column) {
    std::vector<double> values;
    for (const StepWindow& window : windows) values.push_back(column[window.step] != 0 ? 0.5 : -0.5);
    return values;
}

PinnedScores::PinnedScores(const std::vector<LineLevels>& lines, const std::vector<double>& log_priors,
                           const std::vector<StepWindow>& windows, const std::vector<const Column*>& others)
    : PinnedScores(compared(lines, windows), log_priors, windows, others) {}

PinnedScores::PinnedScores(std::vector<std::vector<double>> levels, const std::vector<double>& log_priors,
                           const std::vector<StepWindow>& windows, const std::vector<const Column*>& others)
    : log_priors_(log_priors), windows_(windows), levels_(std::move(levels)) {
    std::vector<std::vector<double>> vectors{std::vector<double>(windows.size(), 1.0)};
    for (const Column* const column : others) vectors.push_back(over(windows, *column));
    others_ = orthonormal(std::move(vectors));
    for (std::vector<double>& of_line : levels_) {
        take_out(others_, of_line);
        const double square = dot(of_line, of_line);
        for (double& level : of_line) level = square > 1e-9 ? level / std::sqrt(square) : 0.0;
    }
}

std::vector<double> PinnedScores::of(const Column& column) const {
    std::vector<double> values = over(windows_, column);
    take_out(others_, values);
    const double square = dot(values, values), windows = static_cast<double>(windows_.size());
    std::vector<double> scores;
    for (std::size_t i = 0; i < levels_.size(); ++i) {
        const double share = square > 1e-9 ? std::pow(dot(values, levels_[i]), 2) / square : 0.0;
        scores.push_back(-0.5 * windows * std::log1p(-std::min(share, 0.999999)) + log_priors_[i]);
    }
    return scores;
}

}  // namespace tattletone::toggle
