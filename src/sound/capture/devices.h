#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace tattletone::sound {

struct InputDevice {
    int index = 0;  ///< as `listen --device` takes it
    std::string name;
    std::string host_interface;  ///< the system's way to it: ALSA, JACK, WASAPI …
    int channels = 0;
    double default_rate_hz = 0.0;  ///< what the system says; 48000 is tried first all the same
    std::vector<double> rates_hz;  ///< which of the usual rates it takes
    bool is_default = false;
};

/// All microphones; an empty list where there is none. Never hangs: a sound system that does not
/// answer within 5 s is an error.
Result<std::vector<InputDevice>> devices();

}  // namespace tattletone::sound
