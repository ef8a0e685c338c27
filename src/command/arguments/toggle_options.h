#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "command/arguments/options.h"
#include "match/toggle_match.h"
#include "tones/join/unit_tones.h"

namespace tattletone::command {

/// The toggle plan of `examine` and `next`.
struct ToggleOptions {
    std::string plan, file;
};
void declare_toggle(Options& options, ToggleOptions& chosen);

/// The plan that one of the recordings was made with. Nothing where none was asked for, or an error was told: see
/// `status`. Read before the long work.
struct ToggledTake {
    toggle::Plan plan;
    std::string path;
};
std::optional<ToggledTake> toggled_take(const Options& options, const ToggleOptions& chosen,
                                        const std::vector<tones::Take>& takes, const board::BoardSheet* sheet,
                                        int& status);

/// Hears that recording again, for the trial. Nothing when an error was told.
std::optional<match::TrialJoin> try_toggled(const ToggledTake& take, const board::BoardSheet* sheet,
                                            const tones::UnitTones& unit);

}  // namespace tattletone::command
