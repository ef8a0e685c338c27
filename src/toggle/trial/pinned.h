#pragma once

#include <vector>

#include "toggle/plan/codes.h"
#include "toggle/trial/windows.h"

namespace tattletone::toggle {

/// One part's column against all lines, at a start and pace that are known from elsewhere: what the other parts explain
/// is taken out of levels and column first.
class PinnedScores {
  public:
    PinnedScores(const std::vector<LineLevels>& lines, const std::vector<double>& log_priors,
                 const std::vector<StepWindow>& windows, const std::vector<const Column*>& others);
    /// The same of levels as they are, by line and window.
    PinnedScores(std::vector<std::vector<double>> levels, const std::vector<double>& log_priors,
                 const std::vector<StepWindow>& windows, const std::vector<const Column*>& others);
    /// By line, as `ColumnSearch` scores; the largest is a part's.
    std::vector<double> of(const Column& column) const;

  private:
    const std::vector<double>& log_priors_;
    const std::vector<StepWindow>& windows_;
    std::vector<std::vector<double>> others_, levels_;  ///< an orthonormal basis; by line, of length 1 or 0
};

/// A column over the windows, ±1/2.
std::vector<double> over(const std::vector<StepWindow>& windows, const Column& column);

}  // namespace tattletone::toggle
