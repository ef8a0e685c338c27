// The transforms that `examine` needs for a recording, and nothing else: processor time in seconds.
//     transforms_alone SECONDS RATE_HZ
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <vector>

#include "spectrum/transform.h"
#include "support/names.h"

using namespace tattletone;

namespace {

double processor_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

void transform(std::size_t size, std::size_t times, const std::vector<float>& sound) {
    RealTransform plan(size);
    std::vector<std::complex<float>> spectrum(plan.bins());
    for (std::size_t i = 0; i < times; ++i) plan.forward(std::span(sound).subspan(i % 97, size), spectrum);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc < 3) return 2;
    const double seconds = std::atof(argv[1]), rate_hz = std::atof(argv[2]);
    std::vector<float> sound(static_cast<std::size_t>(20.0 * rate_hz) + 100);
    unsigned state = 1;
    for (float& x : sound) {
        state = state * 1664525u + 1013904223u;
        x = static_cast<float>(state >> 8) * 0x1p-24f - 0.5f;
    }
    const double start = processor_seconds();
    // As tones/find_tones.cpp and tones/segment.cpp have it: segments of 20 s in the first minute, of
    // 10 s after it; frames of 0.68 s and 0.15 s that overlap by half.
    double left = seconds;
    const double first = left < 60.0 ? left : 60.0;
    transform(fast_size_at_most(static_cast<std::size_t>(20.0 * rate_hz)), static_cast<std::size_t>(first / 20.0),
              sound);
    left -= first;
    transform(fast_size_at_most(static_cast<std::size_t>(10.0 * rate_hz)), static_cast<std::size_t>(left / 10.0),
              sound);
    for (const double frame : {0.68, 0.15}) {
        const std::size_t size = fast_size_at_most(static_cast<std::size_t>(frame * rate_hz));
        transform(size, static_cast<std::size_t>(2.0 * seconds * rate_hz / static_cast<double>(size)), sound);
    }
    std::printf("%.3f\n", processor_seconds() - start);
    return 0;
}
