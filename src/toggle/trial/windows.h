#pragma once

#include <vector>

#include "toggle/trial/levels.h"

namespace tattletone::toggle {

/// When the plan's steps happen in the recording.
struct Alignment {
    double start_seconds = 0.0;  ///< the first step's beginning; the plan also repeats before and after it
    double pace = 0.0;           ///< steps are longer than planned by this share
};

struct Span {
    double from = 0.0, to = 0.0;  ///< in seconds
};

/// One step of the plan, as far as it was recorded.
struct StepWindow {
    std::size_t step = 0;  ///< of the plan
    double from = 0.0, to = 0.0;
};

/// What is the same for all lines of one recording.
struct Recorded {
    double seconds = 0.0, step_seconds = 0.0, settle_seconds = 0.0;
    std::size_t steps = 0;   ///< of the plan
    std::vector<Span> lost;  ///< nothing is concluded from these
};

/// Whole steps only, without those that touch what was lost, and without each step's time to settle.
std::vector<StepWindow> windows_of(const Recorded& recorded, const Alignment& alignment);

/// What a window's level is made of. A steady line keeps its phase from step to step, so that in the noise its
/// neighbours tell more of a window than the window's own power: `in_phase`.
enum class LevelKind { power, in_phase };

/// A line's level in each window as it is compared: a logarithm that is even where noise alone is there, follows the
/// line where that is over it, and heeds a louder room as little as can be. Without its mean and slow drift, of mean
/// square 1; all 0 where nothing moves.
std::vector<double> compared_levels(const LineLevels& line, const std::vector<StepWindow>& windows,
                                    LevelKind kind = LevelKind::in_phase);

/// The same before drift and scale were taken out, in nepers of power.
std::vector<double> power_levels(const LineLevels& line, const std::vector<StepWindow>& windows);

}  // namespace tattletone::toggle
