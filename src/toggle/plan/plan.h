#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "board/sheet/sheet.h"
#include "toggle/plan/codes.h"

namespace tattletone::toggle {

inline constexpr std::size_t most_parts = 8;    ///< one bit each of a byte of the C file
inline constexpr std::size_t most_steps = 600;  ///< the search grows with their square
inline constexpr double by_hand_step_seconds = 3.0, shortest_step_seconds = 0.05, longest_step_seconds = 60.0;
inline constexpr double settles_a_step = 3.0;  ///< a step is no shorter than so many settling times

/// A random order of switching. Firmware repeats it from the beginning when it is through.
struct Plan {
    std::vector<std::string> parts;
    std::vector<Column> columns;  ///< by part
    double step_seconds = 0.5;

    std::size_t steps() const { return columns.empty() ? 0 : columns[0].size(); }
    double seconds() const { return static_cast<double>(steps()) * step_seconds; }
};

struct PlanWish {
    std::vector<std::string> parts;  ///< ids of the sheet
    double seconds = 0.0;            ///< 0: `usual_seconds`
    double step_seconds = 0.0;       ///< 0: the shortest that fits
    bool by_hand = false;
    std::uint64_t seed = 0;
};

/// Errors name the option that would have to change.
Result<Plan> draw_plan(const board::BoardSheet& sheet, const PlanWish& wish);

/// The longest settling time of the plan's parts, in seconds; 0 where the sheet says none.
double settle_seconds(const board::BoardSheet& sheet, const std::vector<std::string>& parts);

/// Fewest steps with which following one of so many parts can be told from chance at p ≤ 0.001: so many acceptable
/// columns for each place at which the plan may begin.
std::size_t fewest_steps(std::size_t parts);

/// The plan as a table: `seconds,ranger,lamp`, a row a step, 1 on, 0 off.
std::string plan_csv(const Plan& plan);
Result<Plan> plan_of_csv(const std::string& text, const std::string& path);
Result<Plan> read_plan(const std::string& path);

/// The same for firmware, C99 and C++: a byte a step, a bit a part, and what to write around it.
std::string plan_c(const Plan& plan, const std::string& board, std::uint64_t seed);

}  // namespace tattletone::toggle
