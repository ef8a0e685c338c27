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
    std::vector<std::string> files, states, spots, changed, off, far;
    std::string room;
};
void declare_clips(Options& options, ClipOptions& chosen);

/// Not yet analysed.
struct ListedClips {
    std::vector<tones::Take> takes;  ///< in the order in which the answer numbers them
    std::vector<tones::Take> far;
    std::string room;  ///< empty: none
    bool take_stdin() const;
};

/// A file named more than once is one take with all that was said of it. Nothing when wrong usage was told.
std::optional<ListedClips> list_clips(const Options& options, const ClipOptions& chosen);

/// Whether states, parts and rates named with the takes are in the sheet (null: none is given);
/// tells what is not.
bool fits_sheet(const ListedClips& clips, const board::BoardSheet* sheet);

struct AnalysedClips {
    tones::UnitTones unit;
    std::optional<tones::Tones> room;
};

/// Opens every recording before the first is analysed, so that all that is wrong is told at once.
/// The very same sound under two names is an error: it would count twice. A copy that is louder, trimmed or compressed
/// is left out, with a notice at the recording that stays. Nothing when an error was told.
std::optional<AnalysedClips> analyse_clips(ListedClips listed);

/// The tones of one recording; its notices are told. Nothing when an error was told.
std::optional<tones::Tones> recorded_tones(const std::string& path);

}  // namespace tattletone::command
