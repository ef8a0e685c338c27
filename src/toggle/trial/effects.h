#pragma once

#include <vector>

#include "toggle/plan/plan.h"
#include "toggle/trial/levels.h"
#include "toggle/trial/trial.h"

namespace tattletone::toggle {

/// The change of a line's level with each part of the plan, by part: by least squares on the powers of all windows, so
/// that what the other parts do is taken into account.
std::vector<Effect> effects_on(const LineLevels& levels, const Plan& plan, const std::vector<StepWindow>& windows);

/// Of a tone: how much of its power at most goes with each part (97.5 %), as a share of it, by part. A part that makes
/// the tone has 2. Nothing where the line is not seen over its noise.
std::vector<double> shares_at_most(const LineLevels& levels, const Plan& plan, const std::vector<StepWindow>& windows);

}  // namespace tattletone::toggle
