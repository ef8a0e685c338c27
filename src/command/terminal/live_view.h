#pragma once

#include <optional>
#include <string>

#include "match/findings.h"
#include "session/live/live_ear.h"

namespace tattletone::command {

/// How one moment of listening looks. `findings` is empty until half a second was heard without a
/// gap.

/// A findings object (README, "The JSON") with a further key `live`, as one line. Before the first
/// findings its lists are empty and `verdict` is null.
std::string live_json(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings);

/// One line, no longer than `columns`, for output that is read later.
std::string live_line(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings);

/// A block of at most `rows` lines of at most `columns`, to be drawn in place.
std::string live_block(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings, int columns,
                       int rows, bool bold);

}  // namespace tattletone::command
