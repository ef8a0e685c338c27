#include "sound/capture/microphone.h"

#include <portaudio.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <future>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

#include "sound/capture/capture_buffer.h"
#include "sound/capture/portaudio_session.h"
#include "sound/capture/stderr_filter.h"
#include "sound/clip/sane_samples.h"

namespace tattletone::sound {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

constexpr std::size_t ring_frames = std::size_t{1} << 20;  // 22 s at 48 kHz
constexpr auto watch_every = 100ms;
constexpr auto frozen_after = 2000ms;
constexpr auto first_sound_after = 3000ms;     // some servers start late
constexpr auto give_up_stream_after = 5000ms;  // frozen that long: close and open again
constexpr auto reopen_every = 1000ms;

}  // namespace

/// Shared by the owner, the device thread and the callback; lives as long as any of them.
struct Microphone::Core {
    std::shared_ptr<StderrFilter> quiet = StderrFilter::keep();
    std::string wanted;
    std::string name;  // this and the rate are settled by the first opening
    double sample_rate_hz = 0.0;
    int channels = 1;  // of the open stream; the owner never looks
    CaptureBuffer buffer{ring_frames};
    std::atomic<bool> stream_ended{false};
    std::atomic<std::uint64_t> reopened{0};

    mutable std::mutex mutex;  // guards what follows
    std::condition_variable changed;
    bool stop = false;
    bool closed = false;
    DeviceState state = DeviceState::running;

    bool wait_for_stop(Clock::duration time) {
        std::unique_lock lock(mutex);
        return changed.wait_for(lock, time, [&] { return stop; });
    }
    void become(DeviceState now) {
        const std::scoped_lock lock(mutex);
        state = now;
    }
};

namespace {

using Core = Microphone::Core;

int on_sound(const void* input, void*, unsigned long frames, const PaStreamCallbackTimeInfo*,
             PaStreamCallbackFlags flags, void* user) noexcept {
    auto& core = *static_cast<Core*>(user);
    core.buffer.deliver(static_cast<const float*>(input), frames, static_cast<std::size_t>(core.channels),
                        (flags & paInputOverflow) != 0);
    return paContinue;
}

void on_end(void* user) noexcept {
    static_cast<Core*>(user)->stream_ended.store(true, std::memory_order_release);
}

PaStream* try_open(Core& core, int device, int channels, double rate_hz) {
    const PaDeviceInfo* info = Pa_GetDeviceInfo(device);
    PaStreamParameters chosen{};
    chosen.device = device;
    chosen.channelCount = channels;
    chosen.sampleFormat = paFloat32;
    chosen.suggestedLatency = std::clamp(info->defaultHighInputLatency, 0.05, 0.2);
    PaStream* stream = nullptr;
    core.channels = channels;
    core.stream_ended.store(false, std::memory_order_release);
    if (Pa_OpenStream(&stream, &chosen, nullptr, rate_hz, paFramesPerBufferUnspecified, paClipOff | paDitherOff,
                      on_sound, &core) != paNoError) {
        return nullptr;
    }
    Pa_SetStreamFinishedCallback(stream, on_end);
    if (Pa_StartStream(stream) == paNoError) return stream;
    Pa_CloseStream(stream);
    return nullptr;
}

/// The first time any usual rate, later the same one again. Needs a session.
Result<PaStream*> open_stream(Core& core) {
    auto device = portaudio::find_input(core.name.empty() ? core.wanted : core.name);
    if (!device) return device.error();
    const PaDeviceInfo* info = Pa_GetDeviceInfo(*device);
    std::vector<double> rates{48000.0, info->defaultSampleRate, 44100.0, 96000.0, 32000.0, 16000.0, 8000.0};
    if (core.sample_rate_hz > 0.0) rates = {core.sample_rate_hz};
    for (const double rate : rates) {
        for (const int channels : {1, std::min(2, info->maxInputChannels), info->maxInputChannels}) {
            if (PaStream* stream = try_open(core, *device, channels, rate)) {
                if (core.name.empty()) core.name = portaudio::input_name(*device);
                if (core.sample_rate_hz == 0.0) core.sample_rate_hz = rate;
                return stream;
            }
        }
    }
    return Error{"microphone '" + portaudio::input_name(*device) + "'", "it cannot be opened",
                 "Close other programs that record, allow recording in the system's privacy settings, or "
                 "choose another one from `tattletone devices`"};
}

/// Until the stream ends, stands still for too long, or the owner leaves (then true).
bool watch(Core& core) {
    auto last_sound = Clock::now();
    const std::uint64_t at_start = core.buffer.deliveries();
    std::uint64_t seen = at_start;
    bool frozen = false;
    while (!core.wait_for_stop(watch_every)) {
        const auto now = Clock::now();
        const std::uint64_t deliveries = core.buffer.deliveries();
        if (deliveries != seen) {
            seen = deliveries;
            last_sound = now;
            frozen = false;
            core.become(DeviceState::running);
        }
        if (core.stream_ended.load(std::memory_order_acquire)) {
            core.become(DeviceState::vanished);
            return false;
        }
        const auto silent = now - last_sound;
        if (!frozen && silent >= (seen == at_start ? first_sound_after : frozen_after)) {
            frozen = true;
            core.buffer.mark_gap();  // if it thaws, the time in between is missing
            core.become(DeviceState::frozen);
        }
        if (silent >= give_up_stream_after) return false;
    }
    return true;
}

/// The only thread that talks to PortAudio about this microphone. Where a call hangs, this thread
/// hangs in it, with the state already told; the owner lets go of it.
void serve(const std::shared_ptr<Core>& core, std::promise<std::optional<Error>> opened) {
    std::optional<portaudio::Session> session;
    const auto end = [&](std::optional<Error> error) {
        {
            std::unique_lock lock(portaudio::mutex());
            session.reset();
        }
        if (error) opened.set_value(std::move(error));
        const std::scoped_lock lock(core->mutex);
        core->closed = true;
        core->changed.notify_all();
    };
    const auto try_once = [&]() -> Result<PaStream*> {
        std::unique_lock lock(portaudio::mutex(), 5s);
        if (!lock) return portaudio::does_not_answer("microphone");
        session.reset();  // a fresh session sees what was plugged in since
        session.emplace();
        if (!session->ok()) return portaudio::no_sound_system();
        return open_stream(*core);
    };
    bool first = true;
    while (true) {
        const auto answer = try_once();
        if (!answer && first) return end(answer.error());
        PaStream* stream = answer ? *answer : nullptr;
        if (stream != nullptr) {
            if (std::exchange(first, false)) {
                opened.set_value(std::nullopt);
            } else {
                core->reopened.fetch_add(1, std::memory_order_relaxed);
            }
            const bool stop = watch(*core);
            {
                const std::scoped_lock lock(portaudio::mutex());
                Pa_AbortStream(stream);
                Pa_CloseStream(stream);
            }
            core->buffer.mark_gap();
            if (stop) return end(std::nullopt);
        }
        if (core->wait_for_stop(reopen_every)) return end(std::nullopt);
    }
}

}  // namespace

Microphone::Microphone(std::shared_ptr<Core> core) : core_(std::move(core)) {}

Result<std::unique_ptr<Microphone>> Microphone::open(const std::string& device) {
    auto core = std::make_shared<Core>();
    core->wanted = device;
    std::promise<std::optional<Error>> opened;
    auto answer = opened.get_future();
    std::thread(serve, core, std::move(opened)).detach();
    std::unique_ptr<Microphone> microphone(new Microphone(core));
    if (answer.wait_for(6s) != std::future_status::ready) return portaudio::does_not_answer("microphone");
    if (auto error = answer.get()) return std::move(*error);
    return microphone;
}

Microphone::~Microphone() {
    std::unique_lock lock(core_->mutex);
    core_->stop = true;
    core_->changed.notify_all();
    core_->changed.wait_for(lock, 1s, [&] { return core_->closed; });
}

const std::string& Microphone::name() const {
    return core_->name;
}
double Microphone::sample_rate_hz() const {
    return core_->sample_rate_hz;
}
Piece Microphone::read(std::span<float> to) {
    const Piece piece = core_->buffer.read(to);
    make_sane(to.first(piece.frames));
    return piece;
}

DeviceStatus Microphone::status() const {
    DeviceStatus status;
    {
        const std::scoped_lock lock(core_->mutex);
        status.state = core_->state;
    }
    status.lost_frames = core_->buffer.lost_frames();
    status.dropouts = core_->buffer.dropouts();
    status.reopened = core_->reopened.load(std::memory_order_relaxed);
    if (status.state == DeviceState::vanished) {
        status.message = "The microphone '" + core_->name +
                         "' is gone (unplugged, or the sound service ended). Plug it in again; listening "
                         "goes on by itself.";
    } else if (status.state == DeviceState::frozen) {
        status.message = "The microphone '" + core_->name +
                         "' gives no sound any more. If it stays so, unplug it and plug it in again or restart "
                         "the sound service; listening goes on by itself.";
    }
    return status;
}

}  // namespace tattletone::sound
