#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "command/arguments/options.h"
#include "tones/join/unit_tones.h"

namespace tattletone::command {

/// The recordings of one unit, as `examine`, `next` and `listen` take them from the command line.
struct ClipOptions {
    std::vector<std::string> files, states, spots, changed, off, far;
    std::string room;
    bool live = false;  ///< a microphone is heard beside them: what is said without a file is said of that
};
void declare_clips(Options& options, ClipOptions& chosen);

/// Not yet analysed.
struct ListedClips {
    std::vector<tones::Take> takes;  ///< in the order in which the answer numbers them
    std::vector<tones::Take> far;
    std::string room;                 ///< empty: none
    std::optional<tones::Take> live;  ///< what was said of the sound that is to come
    bool take_stdin() const;
};

/// A file named more than once is one take with all that was said of it. Nothing when wrong usage was told.
std::optional<ListedClips> list_clips(const Options& options, const ClipOptions& chosen);

/// Whether states, parts and rates named with the takes are in the sheet (null: none is given);
/// tells what is not.
bool fits_sheet(const ListedClips& clips, const board::BoardSheet* sheet);

}  // namespace tattletone::command
