#include "sound/capture/click_output.h"

#include <portaudio.h>

#include <chrono>
#include <mutex>
#include <optional>
#include <utility>

#include "sound/capture/click_synthesizer.h"
#include "sound/capture/portaudio_session.h"
#include "sound/capture/stderr_filter.h"

namespace tattletone::sound {
namespace {

using namespace std::chrono_literals;

constexpr double output_rate_hz = 48000.0;

Error no_output() {
    return {"the sound output", "it cannot be opened, so there are no clicks",
            "Plug headphones in, or close the program that holds the output, and switch the clicks "
            "on again"};
}

int on_wanted(const void*, void* output, unsigned long frames, const PaStreamCallbackTimeInfo*, PaStreamCallbackFlags,
              void* user) noexcept {
    static_cast<ClickSynthesizer*>(user)->fill(static_cast<float*>(output), frames, 1);
    return paContinue;
}

}  // namespace

struct ClickOutput::Stream {
    std::shared_ptr<StderrFilter> quiet = StderrFilter::keep();
    ClickSynthesizer maker{output_rate_hz};
    std::optional<portaudio::Session> session;
    PaStream* stream = nullptr;
};

ClickOutput::ClickOutput(std::unique_ptr<Stream> stream) : stream_(std::move(stream)) {}

Result<std::unique_ptr<ClickOutput>> ClickOutput::open() {
    const std::unique_lock lock(portaudio::mutex(), 5s);
    if (!lock) return portaudio::does_not_answer("the sound output");
    auto made = std::make_unique<Stream>();
    made->session.emplace();
    if (!made->session->ok() || Pa_GetDefaultOutputDevice() == paNoDevice) return no_output();
    if (Pa_OpenDefaultStream(&made->stream, 0, 1, paFloat32, output_rate_hz, paFramesPerBufferUnspecified, on_wanted,
                             &made->maker) != paNoError)
        return no_output();
    if (Pa_StartStream(made->stream) != paNoError) {
        Pa_CloseStream(made->stream);
        return no_output();
    }
    return std::unique_ptr<ClickOutput>(new ClickOutput(std::move(made)));
}

ClickOutput::~ClickOutput() {
    const std::unique_lock lock(portaudio::mutex(), 5s);
    if (!lock) {
        // A call hangs in the sound system; closing now could hang as well. Let the stream be.
        stream_->maker.set_rate(0.0);
        (void)stream_.release();
        return;
    }
    Pa_AbortStream(stream_->stream);
    Pa_CloseStream(stream_->stream);
    stream_->session.reset();
}

void ClickOutput::click() {
    stream_->maker.click();
}

void ClickOutput::set_rate(double clicks_per_second) {
    stream_->maker.set_rate(clicks_per_second);
}

}  // namespace tattletone::sound
