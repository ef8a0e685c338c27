#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "logbook/logbook.h"
#include "logbook/storage/system_file.h"

namespace tattletone::logbook {

/// A recording as it lies beside the logbook: 24-bit flac, its name the SHA-256 of the sample rate
/// and the decoded samples, so that the same sound is there once whatever file it came from.
struct StoredClip {
    std::string hash;
    double sample_rate_hz = 0.0, seconds = 0.0;
    long long bytes = 0;
    std::vector<std::size_t> gaps;  ///< of the source; flac has none
};

/// While it lives, nobody takes away clips that no record needs yet, nor files that pass. Hold it from
/// before the clip is put in place until the transaction with its record is committed. Taking it takes
/// away what killed processes left half-made (see passing_files.h), as far as nobody else is at work.
class ClipGuard {
  public:
    enum class Purpose { storing, removing };
    static Result<ClipGuard> take(const Logbook& logbook, Purpose purpose);
    /// Of the logbook that lies or will lie at this path.
    static Result<ClipGuard> take(const std::string& logbook_path, Purpose purpose);

  private:
    explicit ClipGuard(FileLock lock) : lock_(std::move(lock)) {}
    FileLock lock_;
};

/// Reads the clip at `path` and puts it in place: written beside, flushed, read back for its hash,
/// renamed. Nothing is in the database yet: see `record_clip`. Errors are those of reading and
/// writing clips.
Result<StoredClip> place_clip(const Logbook& logbook, const std::string& path);

/// The row of a clip that is in place; within the caller's transaction.
void record_clip(Database& database, const StoredClip& clip);

/// 64 hexadecimal digits in lower case. What a file holds in their place is a stranger's text.
bool is_clip_hash(std::string_view text);

/// Where the clip with that hash lies, whether or not it does. Empty where the hash is none.
std::string clip_path(const Logbook& logbook, const std::string& hash);
std::string clip_path(const std::string& clips_folder, const std::string& hash);

/// SHA-256 of what a clip holds. Error: it cannot be read.
Result<std::string> hash_of_sound(const std::string& path);

/// Takes away the file and the row of every clip that no record needs. The caller holds a guard for
/// removing and no transaction. How many it were.
Result<int> remove_unneeded_clips(Logbook& logbook);

}  // namespace tattletone::logbook
