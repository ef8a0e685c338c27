#include "sound/capture/portaudio_session.h"

#include <portaudio.h>

#include <algorithm>
#include <cstdlib>
#include <vector>

#ifdef __linux__
#include <dlfcn.h>

#include "base/text/lower_case.h"
#endif

namespace tattletone::sound::portaudio {
namespace {

#ifdef __linux__
void say_nothing_alsa(const char*, int, const char*, int, const char*, ...) {}
void say_nothing_jack(const char*) {}
#endif

/// ALSA and JACK write to standard error whatever they fail to find; and JACK would start a server.
void silence_libraries() {
#ifdef __linux__
    setenv("JACK_NO_START_SERVER", "1", 1);
    setenv("JACK_NO_AUDIO_RESERVATION", "1", 0);
    using AlsaHandler = void (*)(const char*, int, const char*, int, const char*, ...);
    using JackHandler = void (*)(const char*);
    if (auto* set = reinterpret_cast<int (*)(AlsaHandler)>(dlsym(RTLD_DEFAULT, "snd_lib_error_set_handler"))) {
        set(say_nothing_alsa);
    }
    for (const char* name : {"jack_set_error_function", "jack_set_info_function"}) {
        if (auto* set = reinterpret_cast<void (*)(JackHandler)>(dlsym(RTLD_DEFAULT, name))) {
            set(say_nothing_jack);
        }
    }
#endif
}

bool is_input(int index) {
    const PaDeviceInfo* info = Pa_GetDeviceInfo(index);
    return info != nullptr && info->maxInputChannels > 0;
}

}  // namespace

std::timed_mutex& mutex() {
    static auto& one = *new std::timed_mutex;  // outlives threads that hang in a call at exit
    return one;
}

Session::Session() {
    static std::once_flag once;
    std::call_once(once, silence_libraries);
    ok_ = Pa_Initialize() == paNoError;
}

Session::~Session() {
    if (ok_) Pa_Terminate();
}

Error does_not_answer(const std::string& where) {
    return {where, "the sound system does not answer",
            "Unplug the microphone and plug it in again, or restart the system's sound service"};
}

Error no_sound_system() {
    return {"microphone", "the sound system cannot be used",
            "Check that the system's sound service runs and that this user may record"};
}

std::string input_name(int index) {
    const PaDeviceInfo* info = Pa_GetDeviceInfo(index);
    return info != nullptr && info->name != nullptr ? info->name : "";
}

Result<int> find_input(const std::string& wanted) {
    std::vector<int> inputs;
    for (int i = 0; i < Pa_GetDeviceCount(); ++i) {
        if (is_input(i)) inputs.push_back(i);
    }
    if (inputs.empty()) {
        return Error{"microphone", "no microphone was found",
                     "Plug one in, allow this program to record in the system's privacy settings, and "
                     "see `tattletone devices`"};
    }
    if (wanted.empty()) {
        const int standard = Pa_GetDefaultInputDevice();
        return is_input(standard) ? standard : inputs.front();
    }
    if (wanted.size() < 6 && std::all_of(wanted.begin(), wanted.end(), [](char c) { return c >= '0' && c <= '9'; })) {
        const int index = std::atoi(wanted.c_str());
        if (is_input(index)) return index;
        return Error{"microphone " + wanted, "there is no microphone with this number",
                     "See `tattletone devices` for the numbers"};
    }
    const auto named = [&](auto fits) { return std::find_if(inputs.begin(), inputs.end(), fits); };
    auto found = named([&](int i) { return input_name(i) == wanted; });
    if (found == inputs.end()) {
        found = named(
            [&](int i) { return base::lower_case(input_name(i)).find(base::lower_case(wanted)) != std::string::npos; });
    }
    if (found != inputs.end()) return *found;
    return Error{"microphone '" + wanted + "'", "there is no microphone of this name",
                 "See `tattletone devices` for the names; a part of one is enough"};
}

}  // namespace tattletone::sound::portaudio
