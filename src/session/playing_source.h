#pragma once

#include <chrono>
#include <string>

#include "sound/recording.h"
#include "sound/sound_source.h"

namespace tattletone {

/// A recording as if it were heard live, in real time from the first `read` on; silent (nothing
/// comes) when it is over.
class PlayingSource final : public SoundSource {
  public:
    PlayingSource(std::string name, Recording recording);
    const std::string& name() const override { return name_; }
    double sample_rate_hz() const override { return recording_.sample_rate_hz; }
    Piece read(std::span<float> to) override;
    DeviceStatus status() const override { return {}; }

  private:
    std::string name_;
    Recording recording_;
    std::size_t given_ = 0;
    bool begun_ = false;
    std::chrono::steady_clock::time_point begin_;
};

}  // namespace tattletone
