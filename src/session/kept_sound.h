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
    /// Errors as of ClipWriter, at once: nobody listens for an hour in vain.
    static Result<KeptSound> create(const std::string& path, double sample_rate_hz);

    void add(std::span<const float> samples, bool gap_before);
    /// The first error so far; from then on nothing is kept.
    const std::optional<Error>& error() const { return error_; }
    /// The files that were written, in order.
    Result<std::vector<std::string>> finish();

  private:
    KeptSound(std::string path, double sample_rate_hz, ClipFormat format, ClipWriter writer);
    void end_piece();

    std::string path_;
    double sample_rate_hz_;
    ClipFormat format_;
    std::optional<ClipWriter> writer_;
    std::size_t frames_ = 0;
    std::vector<std::string> written_;
    std::optional<Error> error_;
};

}  // namespace tattletone
