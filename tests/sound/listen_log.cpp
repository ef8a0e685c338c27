// What a microphone gives, one line of JSON a tenth of a second, for the tests with a virtual one.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <thread>
#include <vector>

#include "sound/capture/devices.h"
#include "sound/capture/microphone.h"
#include "support/names.h"

using namespace tattletone;

namespace {

/// Frequency from the upward zero crossings of a clean tone, interpolated between samples.
double frequency_of(const std::vector<float>& x, double rate_hz) {
    double first = -1.0, last = -1.0;
    int crossings = 0;
    for (std::size_t i = 1; i < x.size(); ++i) {
        if (x[i - 1] >= 0.0f || x[i] < 0.0f) continue;
        last = static_cast<double>(i) - x[i] / (static_cast<double>(x[i]) - x[i - 1]);
        if (first < 0.0) first = last;
        ++crossings;
    }
    return crossings > 1 ? (crossings - 1) * rate_hz / (last - first) : 0.0;
}

int list() {
    const auto found = devices();
    if (!found) return std::fprintf(stderr, "%s\n", to_sentence(found.error()).c_str()), 1;
    for (const InputDevice& d : *found) {
        std::printf("%d %s | %s | %d ch%s |", d.index, d.name.c_str(), d.host_interface.c_str(), d.channels,
                    d.is_default ? " | default" : "");
        for (const double rate : d.rates_hz) std::printf(" %.0f", rate);
        std::puts("");
    }
    return 0;
}

}  // namespace

volatile std::sig_atomic_t asked_to_end = 0;

int main(int count, char** words) {
    if (count > 1 && std::string(words[1]) == "--list") return list();
    const double seconds = count > 1 ? std::atof(words[1]) : 5.0;
    auto microphone = Microphone::open(count > 2 ? words[2] : "");
    if (!microphone) return std::fprintf(stderr, "%s\n", to_sentence(microphone.error()).c_str()), 1;
    const SoundSource& source = **microphone;
    const auto begin = std::chrono::steady_clock::now();
    const auto now = [&] { return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(); };
    std::vector<float> block(1 << 16), since_gap;
    std::size_t gaps = 0, frames = 0;
    std::signal(SIGINT, [](int) { asked_to_end = 1; });
    while (now() < seconds && asked_to_end == 0) {
        std::this_thread::sleep_for(std::chrono::milliseconds(100));
        for (Piece piece = (*microphone)->read(block); piece.frames > 0; piece = (*microphone)->read(block)) {
            if (piece.gap_before) {
                ++gaps;
                since_gap.clear();
            }
            since_gap.insert(since_gap.end(), block.begin(), block.begin() + static_cast<std::ptrdiff_t>(piece.frames));
            frames += piece.frames;
        }
        const auto most = static_cast<std::size_t>(source.sample_rate_hz());
        if (since_gap.size() > most)
            since_gap.erase(since_gap.begin(), since_gap.end() - static_cast<std::ptrdiff_t>(most));
        const DeviceStatus status = source.status();
        float peak = 0.0f;
        for (const float sample : since_gap) peak = std::max(peak, std::abs(sample));
        std::printf(
            "{\"seconds\": %.3f, \"state\": \"%s\", \"message\": \"%s\", \"rate_hz\": %.0f, "
            "\"frames\": %zu, "
            "\"gaps\": %zu, \"lost\": %llu, \"dropouts\": %llu, \"reopened\": %llu, \"hz\": %.4f, "
            "\"peak\": %.5f}\n",
            now(), word_of(status.state), status.message.c_str(), source.sample_rate_hz(), frames, gaps,
            static_cast<unsigned long long>(status.lost_frames), static_cast<unsigned long long>(status.dropouts),
            static_cast<unsigned long long>(status.reopened), frequency_of(since_gap, source.sample_rate_hz()),
            static_cast<double>(peak));
        std::fflush(stdout);
    }
    const auto closing = std::chrono::steady_clock::now();
    microphone->reset();
    std::printf("{\"closed_in\": %.3f}\n",
                std::chrono::duration<double>(std::chrono::steady_clock::now() - closing).count());
    return 0;
}
