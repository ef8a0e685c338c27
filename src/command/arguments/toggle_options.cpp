#include "command/arguments/toggle_options.h"

#include <algorithm>

#include "command/terminal/console.h"
#include "sound/clip/clip_reader.h"
#include "sound/clip/memory_guard.h"

namespace tattletone::command {
void declare_toggle(Options& options, ToggleOptions& chosen) {
    options.app
        .add_option("--toggle", chosen.plan, "the plan by which parts were switched meanwhile ('tattletone toggle')")
        ->type_name("PLAN.csv");
    options.app.add_option("--toggled", chosen.file, "of several recordings the one that was made with it")
        ->type_name("FILE");
}

std::optional<ToggledTake> toggled_take(const Options& options, const ToggleOptions& chosen,
                                        const std::vector<tones::Take>& takes, const board::BoardSheet* sheet,
                                        int& status) {
    status = exit_usage;
    if (chosen.plan.empty()) {
        if (chosen.file.empty())
            status = exit_done;
        else
            options.wrong_usage("--toggled", "there is no plan that it was made with", "Give --toggle PLAN.csv too");
        return {};
    }
    ToggledTake take;
    take.path = chosen.file.empty() && takes.size() == 1 ? takes[0].path : chosen.file;
    if (take.path.empty()) {
        options.wrong_usage("--toggle", "there are several recordings, and only one can have been made with the plan",
                            "Say which with --toggled FILE");
        return {};
    }
    const bool known =
        std::any_of(takes.begin(), takes.end(), [&](const tones::Take& t) { return t.path == take.path; });
    if (!known) {
        options.wrong_usage("--toggled", "'" + take.path + "' is none of the recordings", "Name one of them");
        return {};
    }
    if (take.path == "-") {
        options.wrong_usage("--toggle", "standard input cannot be read again to compare it with the plan",
                            "Give the recording as a file");
        return {};
    }
    status = exit_failed;
    auto plan = toggle::read_plan(chosen.plan);
    if (!plan) {
        tell(plan.error());
        return {};
    }
    take.plan = std::move(*plan);
    if (sheet != nullptr)
        for (const std::string& part : take.plan.parts) {
            const bool declared = std::any_of(sheet->parts.begin(), sheet->parts.end(),
                                              [&](const board::Part& one) { return one.id == part; });
            if (declared) continue;
            tell({chosen.plan, "the board sheet has no part '" + part + "'",
                  "Give the sheet for which the plan was drawn"});
            return {};
        }
    status = exit_done;
    return take;
}

std::optional<match::TrialJoin> try_toggled(const ToggledTake& take, const board::BoardSheet* sheet,
                                            const tones::UnitTones& unit) {
    const auto of_take = std::find_if(unit.takes.begin(), unit.takes.end(),
                                      [&](const tones::Take& one) { return one.path == take.path; });
    if (of_take == unit.takes.end()) return {};
    const tones::Tones& found = of_take->found;
    if (const auto error = toggle::too_long_to_try(take.path, found.seconds, found.sample_rate_hz)) {
        tell(*error);
        return {};
    }
    auto trial = sound::with_memory_for(take.path, [&]() -> Result<toggle::Trial> {
        const auto recording = sound::read_clip(take.path);
        if (!recording) return recording.error();
        return toggle::try_plan(take.plan, sheet, *recording, unit, of_take->found);
    });
    if (!trial) {
        tell(trial.error());
        return {};
    }
    return match::TrialJoin{std::move(*trial), {}};
}

}  // namespace tattletone::command
