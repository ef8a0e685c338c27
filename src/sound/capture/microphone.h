#pragma once

#include <memory>
#include <string>

#include "base/result.h"
#include "sound/capture/sound_source.h"

namespace tattletone::sound {

/// A microphone through PortAudio. All calls that the sound system could let hang happen on a
/// thread of its own; none of these functions waits for longer than stated.
///
/// Watch: a stream that ended is `vanished` at once, one that gives nothing for 2 s is `frozen`;
/// both are told within 3 s. The device is opened again about once a second until it is back, at
/// the same sample rate, with a gap in between.
class Microphone final : public SoundSource {
  public:
    /// `device`: empty for the system's default, a number or (a part of) a name from `devices()`.
    /// Opens at 48000 Hz, else at the reported default, else at the next usual rate. Waits up to 6
    /// s. Errors: no microphone, no such one, in use or not allowed, the sound system does not
    /// answer.
    static Result<std::unique_ptr<Microphone>> open(const std::string& device);
    ~Microphone() override;  ///< waits up to 1 s for the device to close

    const std::string& name() const override;
    double sample_rate_hz() const override;
    Piece read(std::span<float> to) override;
    DeviceStatus status() const override;

    struct Core;

  private:
    explicit Microphone(std::shared_ptr<Core> core);
    std::shared_ptr<Core> core_;
};

}  // namespace tattletone::sound
