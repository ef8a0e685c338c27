#include "toggle/plan/prompt.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "base/text/number.h"

namespace tattletone::toggle {
namespace {

bool is_on(const Plan& plan, std::size_t part, std::size_t step) {
    return plan.columns[part][step] != 0;
}

// Of all parts, or of those that change at this step.
std::string states_at(const Plan& plan, std::size_t step, bool changes_only) {
    std::string text;
    for (std::size_t part = 0; part < plan.parts.size(); ++part) {
        const bool on = is_on(plan, part, step);
        if (changes_only && step > 0 && on == is_on(plan, part, step - 1)) continue;
        text += (text.empty() ? "" : ", ") + plan.parts[part] + (on ? " ON" : " OFF");
    }
    return text;
}

}  // namespace

Prompt prompt_at(const Plan& plan, double seconds) {
    const double at = (seconds - prompt_lead_seconds) / plan.step_seconds;
    Prompt prompt;
    const auto current = static_cast<std::ptrdiff_t>(std::floor(at + 1e-9));
    prompt.over = current >= static_cast<std::ptrdiff_t>(plan.steps());
    for (std::size_t step = 0; step < plan.steps(); ++step) {
        const std::string changes = states_at(plan, step, true);
        if (static_cast<std::ptrdiff_t>(step) <= current) {
            prompt.switched += !changes.empty();
            if (changes.empty()) continue;
            prompt.changed = changes;
            prompt.seconds_since = (at - static_cast<double>(step)) * plan.step_seconds;
        } else if (!changes.empty()) {
            prompt.next = changes;
            prompt.seconds_to_next = (static_cast<double>(step) - at) * plan.step_seconds;
            break;
        }
    }
    const auto held = static_cast<std::size_t>(std::max<std::ptrdiff_t>(current, 0));
    if (current >= 0) prompt.now = states_at(plan, std::min(held, plan.steps() - 1), false);
    return prompt;
}

std::string prompt_words(const Prompt& prompt) {
    if (prompt.over) return "The plan is through.";
    std::string text = prompt.now.empty() ? "Get ready." : "Now: " + prompt.now + ".";
    if (!prompt.next.empty())
        text += " In " + base::fixed(std::ceil(prompt.seconds_to_next - 1e-9), 0) + " s: " + prompt.next + ".";
    return text;
}

}  // namespace tattletone::toggle
