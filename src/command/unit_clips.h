#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "command/arguments/options.h"
#include "tones/join/unit_tones.h"

namespace tattletone::command {

/// The recordings of one unit, as `examine` and `next` take them from the command line.
struct ClipOptions {
    std::vector<std::string> files, states, spots, changed, off;
    std::string room;
};
void declare_clips(Options& options, ClipOptions& chosen);

/// The takes in the order in which the answer numbers them, not yet analysed. A file named more than
/// once is one take with all that was said of it. Nothing when wrong usage was told.
std::optional<std::vector<tones::Take>> list_takes(const Options& options, const ClipOptions& chosen);

/// Whether states, parts and rates named with the takes are in the sheet (null: none is given);
/// tells what is not.
bool fits_sheet(const std::vector<tones::Take>& takes, const board::BoardSheet* sheet);

struct AnalysedClips {
    tones::UnitTones unit;
    std::optional<tones::Tones> room;
};

/// Opens every recording before the first is analysed, so that all that is wrong is told at once.
/// The same sound under two names is an error: it would count twice. Nothing when an error was told.
std::optional<AnalysedClips> analyse_clips(std::vector<tones::Take> takes, const std::string& room);

}  // namespace tattletone::command
