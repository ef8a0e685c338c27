#include "toggle/plan/plan.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"

namespace tattletone::toggle {
namespace {

constexpr double usual_seconds = 60.0, usual_step_seconds = 0.5, usual_steps_by_hand = 60.0;

std::string seconds_words(double seconds) {
    return base::trimmed(seconds, 3) + " s";
}

std::optional<Error> wrong_parts(const board::BoardSheet& sheet, const std::vector<std::string>& parts) {
    if (parts.empty() || parts.size() > most_parts)
        return Error{"--parts", std::to_string(parts.size()) + " parts are named",
                     "Name 1 to 8, as --parts ranger,lamp"};
    std::string known;
    for (const board::Part& part : sheet.parts) known += (known.empty() ? "" : ", ") + part.id;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const bool is_part = std::any_of(sheet.parts.begin(), sheet.parts.end(),
                                         [&](const board::Part& part) { return part.id == parts[i]; });
        if (!is_part)
            return Error{"--parts", "there is no part '" + parts[i] + "' in this board sheet", "It has " + known};
        if (std::find(parts.begin(), parts.begin() + static_cast<std::ptrdiff_t>(i), parts[i]) !=
            parts.begin() + static_cast<std::ptrdiff_t>(i))
            return Error{"--parts", "'" + parts[i] + "' is named twice", "Name each part once"};
    }
    return std::nullopt;
}

}  // namespace

double settle_seconds(const board::BoardSheet& sheet, const std::vector<std::string>& parts) {
    double longest = 0.0;
    for (const board::Part& part : sheet.parts)
        if (std::find(parts.begin(), parts.end(), part.id) != parts.end())
            longest = std::max(longest, part.settle_s.value_or(0.0));
    return longest;
}

std::size_t fewest_steps(std::size_t parts) {
    // A thousand draws for each part must hardly ever find, at any of the places, a column as good as the true one:
    // ten times as many columns as draws × places (four places a step, some five paces, either sign).
    for (std::size_t steps = 8;; ++steps) {
        const double n = static_cast<double>(steps);
        const double log_columns = std::lgamma(n + 1.0) - 2.0 * std::lgamma(0.5 * n + 1.0);
        if (log_columns >= std::log(10.0 * 1000.0 * static_cast<double>(parts) * 40.0 * n)) return steps;
    }
}

Result<Plan> draw_plan(const board::BoardSheet& sheet, const PlanWish& wish) {
    if (const auto error = wrong_parts(sheet, wish.parts)) return *error;
    const double settle = settle_seconds(sheet, wish.parts);
    Plan plan;
    plan.parts = wish.parts;
    const double least = wish.by_hand ? by_hand_step_seconds : shortest_step_seconds;
    plan.step_seconds = wish.step_seconds > 0.0 ? wish.step_seconds
                                                : std::max({wish.by_hand ? by_hand_step_seconds : usual_step_seconds,
                                                            std::ceil(settles_a_step * settle * 10.0) / 10.0});
    if (plan.step_seconds < least - 1e-9 || plan.step_seconds > longest_step_seconds)
        return Error{"--step",
                     "steps of " + seconds_words(plan.step_seconds) +
                         (plan.step_seconds > longest_step_seconds ? " are too long"
                          : wish.by_hand                           ? " are too short for a hand"
                                                                   : " are too short to be heard apart"),
                     "Give " + seconds_words(least) + " to " + seconds_words(longest_step_seconds)};
    if (plan.step_seconds < settles_a_step * settle - 1e-9)
        return Error{"--step",
                     "steps of " + seconds_words(plan.step_seconds) +
                         " are shorter than three settling times (settle_s = " + base::trimmed(settle, 3) +
                         " in the sheet)",
                     "Give " + seconds_words(settles_a_step * settle) + " or more"};
    const std::size_t fewest = fewest_steps(wish.parts.size());
    const double wanted =
        wish.seconds > 0.0 ? wish.seconds : std::max(usual_seconds, usual_steps_by_hand * plan.step_seconds);
    const double steps = std::floor(wanted / plan.step_seconds + 1e-6);
    if (steps < static_cast<double>(fewest))
        return Error{"--seconds",
                     seconds_words(wanted) + " hold " + base::trimmed(steps, 0) + " steps of " +
                         seconds_words(plan.step_seconds) + ", too few to prove anything at p ≤ 0.001 with " +
                         base::count_of(static_cast<long long>(wish.parts.size()), "part", "parts"),
                     "Give --seconds " + base::trimmed(std::ceil(static_cast<double>(fewest) * plan.step_seconds), 0) +
                         " or more" +
                         (plan.step_seconds > std::max(least, settles_a_step * settle) ? ", or shorter steps" : "")};
    if (steps > static_cast<double>(most_steps))
        return Error{"--seconds", base::trimmed(steps, 0) + " steps are more than " + std::to_string(most_steps),
                     "Give longer steps with --step, or fewer seconds"};
    Generator generator(wish.seed);
    plan.columns = draw_columns(generator, plan.parts.size(), static_cast<std::size_t>(steps));
    return plan;
}

}  // namespace tattletone::toggle
