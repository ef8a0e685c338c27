#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "sound/clip/piece.h"

namespace tattletone::sound {

/// One decoder behind ClipReader: all channels, interleaved.
class ClipSource {
  public:
    struct Format {
        double sample_rate_hz = 0.0;
        int channels = 0;
        std::string codec;
        bool lossy = false;
        std::optional<double> seconds;  ///< as the container says
    };

    virtual ~ClipSource() = default;
    const Format& format() const { return format_; }
    /// Fills up to `interleaved.size() / channels` frames; 0 frames at the end.
    virtual Piece read(std::span<float> interleaved) = 0;
    /// Complete once `read` has returned 0 frames.
    const std::vector<std::string>& notices() const { return notices_; }
    double coded_bytes() const { return coded_bytes_; }  ///< decoded so far; 0 where that is not known
    bool failed() const { return failed_; }              ///< the disk gave an error; what was read is sound

  protected:
    Format format_;
    std::vector<std::string> notices_;
    double coded_bytes_ = 0.0;
    bool failed_ = false;
};

}  // namespace tattletone::sound
