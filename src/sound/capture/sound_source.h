#pragma once

#include <cstdint>
#include <span>
#include <string>

#include "sound/clip/piece.h"

namespace tattletone::sound {

/// `vanished`: the device ended the stream (unplugged, server gone). `frozen`: the stream stands,
/// but nothing has come for two seconds. Both are waited out: sound goes on when the device is
/// back.
enum class DeviceState { running, vanished, frozen };

/// As JSON has it.
inline const char* word_of(DeviceState state) {
    static constexpr const char* words[] = {"running", "vanished", "frozen"};
    return words[static_cast<int>(state)];
}

struct DeviceStatus {
    DeviceState state = DeviceState::running;
    std::string message;            ///< a sentence for the user; empty while all is well
    std::uint64_t lost_frames = 0;  ///< did not fit the ring because the program was too slow
    std::uint64_t dropouts = 0;     ///< times that the system itself dropped sound, amount unknown
    std::uint64_t reopened = 0;     ///< times that the device came back
};

/// Live mono sound. `read` belongs to one thread, the rest to any.
class SoundSource {
  public:
    virtual ~SoundSource() = default;
    virtual const std::string& name() const = 0;
    virtual double sample_rate_hz() const = 0;
    /// What has come, without waiting; 0 frames where there is nothing yet.
    virtual Piece read(std::span<float> to) = 0;
    virtual DeviceStatus status() const = 0;
};

}  // namespace tattletone::sound
