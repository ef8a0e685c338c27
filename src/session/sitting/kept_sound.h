#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "sound/clip/clip_writer.h"

namespace tattletone::session {

/// What became of the sound that was to be kept.
struct KeptFiles {
    std::vector<std::string> written = {};  ///< in order
    /// Of listeners to the same place that were killed: brought to a name of their own.
    std::vector<std::string> rescued = {};
    std::optional<Error> error = {};  ///< why there is no more
};

/// Everything heard, in files without gaps: after a gap a further file begins, named NAME-2, NAME-3
/// … Each stands in its place only when it is whole. Segments shorter than half a second between
/// two gaps are not kept. Where the disk takes no more, what it took stands there as a whole file.
class KeptSound {
  public:
    /// Errors as of ClipWriter, at once: nobody listens for an hour in vain. Where the place of a further
    /// file is taken, or the first one's was taken meanwhile, the next free number is used.
    static Result<KeptSound> create(const base::OutputFile& place, double sample_rate_hz);

    void add(std::span<const float> samples, bool gap_before);
    /// The first error so far; from then on nothing is kept.
    const std::optional<Error>& error() const { return files_.error; }
    KeptFiles finish();

  private:
    KeptSound(base::OutputFile place, double sample_rate_hz, sound::ClipFormat format, sound::ClipWriter writer);
    void end_piece();

    std::string next_free_path();

    base::OutputFile place_;
    double sample_rate_hz_;
    sound::ClipFormat format_;
    std::optional<sound::ClipWriter> writer_;
    std::size_t frames_ = 0;
    std::size_t number_ = 1, last_number_ = 0;  // of the file in making, and of the last one kept
    KeptFiles files_;
};

}  // namespace tattletone::session
