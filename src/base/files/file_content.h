#pragma once

#include <optional>
#include <string>

#include "base/files/output_kind.h"

namespace tattletone::base {

/// What stands in a file, by its bytes; its name counts for nothing.
enum class FileContent {
    recording,    ///< by the first bytes of the usual containers of sound
    board_sheet,  ///< text with a [board] table
    database,     ///< SQLite's; every logbook is one
    other,
};

struct SeenFile {
    FileContent content = FileContent::other;
    std::optional<OutputKind> mark;  ///< the program's own, of the kind that it says
    bool unmarked_page = false;      ///< a page as the program wrote them before they carried marks
};

/// Nothing where it cannot be read. Reads some kilobytes of it.
std::optional<SeenFile> look_at_file(const std::string& path);

}  // namespace tattletone::base
