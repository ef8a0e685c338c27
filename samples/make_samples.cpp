// make_samples FOLDER: writes the recordings of the made-up tide gauge again, the same ones each time, and
// prints what is truly in them as the table of samples/README.md.

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "sound/clip/clip_writer.h"
#include "support/names.h"
#include "support/room.h"
#include "support/voice.h"

namespace {

using namespace tattletone;
using namespace tattletone::scenes;

constexpr double sample_rate_hz = 48000.0;
constexpr double seconds = 8.0;
constexpr auto samples = static_cast<std::size_t>(seconds * sample_rate_hz);
constexpr double card_factor = 1.0 + 23e-6;  // this sound card's clock runs slow

/// A source of sound on the bench: lines at multiples of one fundamental, levels relative to each other.
struct Singer {
    const char* rate;
    double true_hz;
    double sinks;  ///< share by which it sinks as it warms up
    std::vector<VoiceLine> lines;
    double tone_to_noise_db;  ///< of the strongest line
};

struct Plan {
    const char* file;
    const char* what;
    std::uint64_t seed;
    std::vector<Singer> singers;
};

/// A quiet workshop: a microphone's own noise, mains hum, a computer's fan on the next bench.
Room make_workshop() {
    const double fs = sample_rate_hz;
    const Biquad low_end = Biquad::high_pass(45.0, 0.7, fs), bump = Biquad::peak(11500.0, 1.2, 5.0, fs);
    const Biquad roll_off = Biquad::low_pass(19000.0, 0.7, fs);
    Room room;
    room.sample_rate_hz = fs;
    room.card_factor = card_factor;
    room.microphone = {low_end, bump, roll_off};
    room.noise = {{5e-5, room.microphone},
                  {1.5e-5, {}},
                  {2.5e-4, {low_end, Biquad::first_order_low_pass(250.0, fs)}},
                  {2e-4, {low_end, Biquad::low_pass(900.0, 0.6, fs)}}};
    room.mains_hz = 50.006 * card_factor;
    for (int k = 1; k <= 12; ++k) room.mains_amplitudes.push_back((k % 2 == 0 ? 1.2e-4 : 4e-5) / k);
    room.fan_hz = 187.0 * card_factor;
    room.fan_wobble = 0.003;
    room.fan_amplitudes = {6e-5, 3e-5, 1e-5};
    return room;
}

Singer sounder(double level_db) {
    return {"sounder.frame", 3200.0 * (1.0 - 11e-6), 0.0, {{1, -6}, {2, 0}, {3, -4}, {5, -9}}, level_db};
}
Singer lamp(double level_db) {
    return {"lamp.dimming", 976.5625 * (1.0 + 17e-6), 0.0, {{1, -14}, {3, -3}, {5, 0}, {7, -8}, {11, -12}}, level_db};
}

const std::vector<Plan>& plans() {
    static const std::vector<Plan> all = {
        {"clear.flac", "the echo sounder sings, plainly", 11, {sounder(14.0)}},
        {"faint.flac",
         "the screen's rows, 15 dB below the noise in the critical band",
         12,
         {{"screen.row", 4320.0 * (1.0 - 42e-6), 0.0, {{1, -2}, {2, 0}, {3, -3}, {4, -5}}, -15.0}}},
        {"wandering.flac",
         "the core regulator skips pulses and sinks as it warms up",
         13,
         {{"core-regulator.burst", 5900.0, 0.07, {{1, 0}, {2, -4}, {3, -8}}, 10.0}}},
        {"room.flac", "the bench with the board unpowered", 14, {}},
        {"quiet.flac", "a good unit", 15, {}},
        {"undeclared.flac",
         "a whine of something that the sheet does not list",
         16,
         {{"(nobody)", 7411.7, 0.0, {{1, 0}}, 6.0}}},
        {"sounding.flac", "a unit whose lamp sings, while it sounds the depth: lamp off", 17, {}},
        {"reading.flac", "the same unit while it shows the reading: lamp dimmed", 18, {lamp(2.0)}},
    };
    return all;
}

Path path_of(const Singer& singer) {
    Path hz = constant_path(samples, singer.true_hz * card_factor);
    for (std::size_t i = 0; i < hz.size(); ++i) {
        const double t = static_cast<double>(i) * control_samples / sample_rate_hz;
        hz[i] *= 1.0 - singer.sinks * (1.0 - std::exp(-t / 6.0)) / (1.0 - std::exp(-seconds / 6.0));
    }
    return hz;
}

bool make(const Plan& plan, const std::filesystem::path& folder) {
    Random random(plan.seed);
    const Room room = make_workshop();
    Signal signal = make_background(room, samples, random);
    std::vector<TrueLine> lines;
    for (const Singer& singer : plan.singers) {
        Voice voice;
        voice.hz = path_of(singer);
        voice.lines = singer.lines;
        for (const TrueLine& line : add_voice(signal, voice, singer.tone_to_noise_db, room, 0, random))
            lines.push_back(line);
    }
    Recording recording;
    recording.samples = quantise_16_bit(signal);
    recording.sample_rate_hz = sample_rate_hz;
    const std::string path = (folder / plan.file).string();
    if (const auto error = write_clip(path, recording, ClipFormat::flac_16)) {
        std::fprintf(stderr, "make_samples: %s\n", to_sentence(*error).c_str());
        return false;
    }
    if (lines.empty()) std::printf("| %s | %s | - | - | - |\n", plan.file, plan.what);
    for (const TrueLine& line : lines)
        std::printf("| %s | %s | %s x %g | %.3f | %+.1f |\n", plan.file, plan.what, plan.singers[0].rate, line.multiple,
                    line.hz, line.tone_to_noise_db);
    return true;
}

// What an oscilloscope on the 3V3 rail saw while the unit of clear.flac sounded: the supply dips once a frame.
bool make_trace(const std::filesystem::path& folder) {
    constexpr double increment = 1e-5, scope_factor = 1.0 - 12e-6;
    constexpr double width = 60e-6, edge = 25e-6, depth = 0.045, noise = 0.003;
    constexpr int rows = 5000;
    const double read_hz = sounder(0.0).true_hz * scope_factor;
    const std::filesystem::path path = folder / "rail.csv";
    std::FILE* const file = std::fopen(path.string().c_str(), "wb");
    if (file == nullptr) {
        std::fprintf(stderr, "make_samples: %s cannot be written\n", path.string().c_str());
        return false;
    }
    std::fprintf(file, "Time (ms),3V3 (V)\n");
    Random random(21);
    for (int i = 0; i < rows; ++i) {
        const double phase = std::fmod(increment * i * read_hz + 0.3, 1.0) - 0.5;
        const double away = (std::abs(phase / read_hz) - 0.5 * (width - edge)) / edge;
        std::fprintf(file, "%.2f,%.3f\n", 1e3 * increment * i,
                     3.302 - depth * std::clamp(1.0 - away, 0.0, 1.0) + noise * random.normal());
    }
    std::fclose(file);
    std::printf(
        "| rail.csv | the 3V3 rail of the unit in clear.flac, by a scope whose clock is 12 ppm fast | sounder.frame x "
        "1 | %.3f | - |\n",
        read_hz);
    return true;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: make_samples FOLDER\n");
        return 2;
    }
    std::filesystem::create_directories(argv[1]);
    for (const Plan& plan : plans())
        if (!make(plan, argv[1])) return 1;
    return make_trace(argv[1]) ? 0 : 1;
}
