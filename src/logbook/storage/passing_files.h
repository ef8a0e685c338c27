#pragma once

#include <string>
#include <vector>

namespace tattletone::logbook {

/// Files that exist only while a process is at work: the copy that becomes a backup, the copy of a
/// logbook that is being joined, a recording that is coming in. Whoever makes one holds the guard of the
/// recordings beside it (`ClipGuard`, shared) for as long as it exists. The system releases a guard when
/// its owner dies, so that whoever gets it alone knows: what is there now belongs to nobody. The marks of a
/// triage (NAME.at-work-XXXX) are locked themselves by their owners.

/// The name of such a file beside or below the logbook at `path`; `kind` is "part" or "merge".
std::string passing_path(const std::string& path, const std::string& kind);
std::string incoming_clip_path(const std::string& clips_folder);

/// All that are there, with what SQLite keeps beside them, whoever owns them.
std::vector<std::string> passing_files_of(const std::string& path);

/// Those that belong to nobody any more.
std::vector<std::string> half_made_files_of(const std::string& path);

/// Takes all away. The caller holds the guard alone.
void remove_passing_files(const std::string& path);

/// One file, with what SQLite keeps beside it; gone at the end.
struct PassingFile {
    std::string path;
    ~PassingFile();
};

}  // namespace tattletone::logbook
