#pragma once

#include <chrono>
#include <string>

#include "sound/capture/sound_source.h"
#include "sound/recording.h"

namespace tattletone::session {

/// A recording as if it were heard live, in real time from the first `read` on; silent (nothing
/// comes) when it is over.
class PlayingSource final : public sound::SoundSource {
  public:
    PlayingSource(std::string name, sound::Recording recording);
    const std::string& name() const override { return name_; }
    double sample_rate_hz() const override { return recording_.sample_rate_hz; }
    sound::Piece read(std::span<float> to) override;
    sound::DeviceStatus status() const override { return {}; }

  private:
    std::string name_;
    sound::Recording recording_;
    std::size_t given_ = 0;
    bool begun_ = false;
    std::chrono::steady_clock::time_point begin_;
};

}  // namespace tattletone::session
