#pragma once

#include <chrono>
#include <functional>
#include <mutex>
#include <optional>
#include <string>

#include "base/result.h"

/// PortAudio's control calls: one thread at a time, never trusted to return. Private to this
/// folder.
namespace tattletone::sound::portaudio {

/// Held around every call but the callback's. A call that hangs keeps it: take it with a time
/// limit.
std::timed_mutex& mutex();

/// Ends on destruction. Construct and destroy with `mutex` held.
class Session {
  public:
    Session();
    ~Session();
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;
    bool ok() const { return ok_; }

  private:
    bool ok_ = false;
};

Error does_not_answer(const std::string& where);
Error no_sound_system();

/// Index of an input device: empty is the system's default, a number an index, else a name or a
/// part of one. Needs a session.
Result<int> find_input(const std::string& wanted);
std::string input_name(int index);

}  // namespace tattletone::sound::portaudio
