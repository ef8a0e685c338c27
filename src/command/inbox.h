#pragma once

#include <string>
#include <vector>

namespace tattletone::command {

/// What lies in a folder and the folders in it. Links to folders are not followed, so that it ends.
struct Inbox {
    std::vector<std::string> files;   ///< sorted; those too whose kind could not be found out
    std::vector<std::string> others;  ///< neither files nor folders: links to folders, pipes, sockets, devices
    std::vector<std::string> closed;  ///< folders that could not be looked into, or not to their end
};
Inbox inbox_of(const std::string& folder);

/// What became of the files of an inbox. Each is in one of them, and nothing counts as `before` or `broken` that a
/// later run may not pass over.
struct InboxTally {
    int taken = 0;
    int before = 0;        ///< taken in by an earlier run, or the very same bytes as another file
    int broken = 0;        ///< wrong in itself; noted, so that no run looks at it again
    int known_broken = 0;  ///< of those: noted by an earlier run
    int later = 0;  ///< no permission, no memory, no decoder, a disk that is full or fails: the next run tries again
    int busy = 0;   ///< with another process
    int others = 0, closed = 0;

    int files() const { return taken + before + broken + later + busy + others; }
    /// Nothing is left that could not be looked at.
    bool whole() const { return later == 0 && closed == 0; }
    std::string text() const;
};

}  // namespace tattletone::command
