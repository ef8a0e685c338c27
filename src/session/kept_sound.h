#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "result.h"
#include "sound/clip_writer.h"

namespace tattletone {

/// Everything heard, in files without gaps: after a gap a further file begins, named NAME-2, NAME-3
/// … Each stands in its place only when it is whole. Stretches shorter than half a second between
/// two gaps are not kept.
class KeptSound {
  public:
    /// Errors as of ClipWriter, at once: nobody listens for an hour in vain. Where the place of a further
    /// file is taken, or the first one's was taken meanwhile, the next free number is used.
    static Result<KeptSound> create(const OutputFile& place, double sample_rate_hz);

    void add(std::span<const float> samples, bool gap_before);
    /// The first error so far; from then on nothing is kept.
    const std::optional<Error>& error() const { return error_; }
    /// The files that were written, in order.
    Result<std::vector<std::string>> finish();

  private:
    KeptSound(OutputFile place, double sample_rate_hz, ClipFormat format, ClipWriter writer);
    void end_piece();

    std::string next_free_path();

    OutputFile place_;
    double sample_rate_hz_;
    ClipFormat format_;
    std::optional<ClipWriter> writer_;
    std::size_t frames_ = 0;
    std::size_t number_ = 1, last_number_ = 0;  // of the file in making, and of the last one kept
    std::vector<std::string> written_;
    std::optional<Error> error_;
};

}  // namespace tattletone
