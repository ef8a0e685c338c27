#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "sound/recording.h"

namespace tattletone::sound {

struct ClipInfo {
    std::string origin;           ///< the path, or "-"
    double sample_rate_hz = 0.0;  ///< the clip's own; nothing is ever resampled
    int channels = 1;             ///< in the clip; what `read` gives is one
    std::string codec;
    bool lossy = false;
    std::optional<double> seconds;  ///< as the container says, if it does
    std::string channel_choice;     ///< which channel or mixture and why; empty for a mono clip
};

/// One clip of any kind that a phone or recorder sends, piece by piece: memory does not grow with
/// its length. One thread at a time.
class ClipReader {
  public:
    /// "-" is standard input. Errors name the path, what is wrong and what to do: no such file, a
    /// folder, no permission, empty, no sound, no sound track, cut off, encrypted, unknown codec,
    /// no samples, beyond `clip_limits.h`, no memory.
    static Result<ClipReader> open(const std::string& path);
    ~ClipReader();
    ClipReader(ClipReader&&) noexcept;
    ClipReader& operator=(ClipReader&&) noexcept;

    const ClipInfo& info() const;
    /// Mono samples, full scale ±1; 0 at the end. Stops short before a gap, so that a piece never
    /// joins two sides of one. A clip that breaks off gives what it had and a notice, not an error. Every sample is
    /// a finite number of a size that sound has (`sane_samples.h`).
    Result<std::size_t> read(std::span<float> samples);
    /// Sound is missing before each of these indices of the samples read so far.
    const std::vector<std::size_t>& gaps() const;
    /// Of the coded sound, a mean once `read` has given 0; 0 where it is not known.
    double kilobits_per_second() const;
    /// The disk, the connection or the memory gave out midway; what was read until then is sound. Once `read` has given
    /// 0.
    bool broke_off() const;
    /// Complete once `read` has given 0.
    std::vector<std::string> notices() const;

  private:
    struct State;
    explicit ClipReader(std::unique_ptr<State> state);
    Result<std::size_t> read_piece(std::span<float> samples);
    std::unique_ptr<State> state_;
};

/// The whole clip in memory.
Result<Recording> read_clip(const std::string& path);

}  // namespace tattletone::sound
