#include "sound/capture/devices.h"

#include <portaudio.h>

#include <chrono>
#include <future>
#include <thread>
#include <utility>

#include "sound/capture/portaudio_session.h"
#include "sound/capture/stderr_filter.h"

namespace tattletone::sound {
namespace {

using namespace std::chrono_literals;

constexpr double usual_rates_hz[] = {8000, 16000, 22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000};

InputDevice describe(int index, const PaDeviceInfo& info) {
    InputDevice device;
    device.index = index;
    device.name = info.name != nullptr ? info.name : "";
    const PaHostApiInfo* host = Pa_GetHostApiInfo(info.hostApi);
    device.host_interface = host != nullptr && host->name != nullptr ? host->name : "";
    device.channels = info.maxInputChannels;
    device.default_rate_hz = info.defaultSampleRate;
    device.is_default = index == Pa_GetDefaultInputDevice();
    PaStreamParameters chosen{};
    chosen.device = index;
    chosen.channelCount = 1;
    chosen.sampleFormat = paFloat32;
    chosen.suggestedLatency = info.defaultHighInputLatency;
    for (const double rate : usual_rates_hz) {
        if (Pa_IsFormatSupported(&chosen, nullptr, rate) == paFormatIsSupported) device.rates_hz.push_back(rate);
    }
    return device;
}

Result<std::vector<InputDevice>> list() {
    const auto quiet = StderrFilter::keep();
    std::unique_lock lock(portaudio::mutex(), 4s);
    if (!lock) return portaudio::does_not_answer("microphones");
    const portaudio::Session session;
    if (!session.ok()) return portaudio::no_sound_system();
    std::vector<InputDevice> found;
    for (int i = 0; i < Pa_GetDeviceCount(); ++i) {
        const PaDeviceInfo* info = Pa_GetDeviceInfo(i);
        if (info != nullptr && info->maxInputChannels > 0) found.push_back(describe(i, *info));
    }
    return found;
}

}  // namespace

Result<std::vector<InputDevice>> devices() {
    std::packaged_task<Result<std::vector<InputDevice>>()> task(list);
    auto answer = task.get_future();
    std::thread(std::move(task)).detach();  // may hang in the sound system: then it is left behind
    if (answer.wait_for(5s) != std::future_status::ready) return portaudio::does_not_answer("microphones");
    return answer.get();
}

}  // namespace tattletone::sound
