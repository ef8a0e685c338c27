// Real sound that is not ours to ship: from Debian packages where they are installed, and from
// ../shared/real. What is absent is skipped, loudly. Truths measured by others are named.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <numbers>
#include <string>
#include <vector>

#include "made.h"
#include "sound/clip/clip_reader.h"
#include "spectrum/transform.h"
#include "support/names.h"
#include "support/skip.h"
#include "tones/find_tones.h"

using namespace tattletone;
namespace fs = std::filesystem;

namespace {

std::vector<fs::path> files_in(const fs::path& folder, const std::string& how_to_get) {
    std::vector<fs::path> files;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(folder, error))
        if (entry.is_regular_file()) files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    if (files.empty()) skip_test(folder.string() + " is not there. " + how_to_get);
    return files;
}

double median(std::vector<double> values) {
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2), values.end());
    return values[values.size() / 2];
}

/// The grid's frequency over time, from one zero crossing upwards to the next, smoothed over a
/// second.
std::vector<double> mains_hz_by_second(const Recording& voltage) {
    std::vector<double> crossing;
    for (std::size_t n = 1; n < voltage.samples.size(); ++n) {
        const double before = voltage.samples[n - 1], here = voltage.samples[n];
        if (before < 0.0 && here >= 0.0)
            crossing.push_back((static_cast<double>(n) - here / (here - before)) / voltage.sample_rate_hz);
    }
    std::vector<double> hz;
    for (std::size_t i = 0; i + 50 < crossing.size(); i += 50) hz.push_back(50.0 / (crossing[i + 50] - crossing[i]));
    return hz;
}

}  // namespace

TEST_CASE("spoken letters recorded beside a television", "[statistics]") {
    // 15 734.30 Hz in 22 of the 30 German clips, 0.03 Hz over NTSC's line rate of 4.5 MHz / 286
    // (SMPTE 170M) by the recorder's clock.
    const auto files = files_in("/usr/share/klettres/de/alpha", "Debian: apt-get install klettres-data.");
    int heard = 0, other_board_tones = 0;
    std::vector<double> hz;
    for (const fs::path& file : files) {
        const auto clip = read_clip(file.string());
        if (!clip || clip->seconds() < 0.5) continue;
        for (const Tone& tone : find_tones(*clip).tones) {
            if (std::abs(tone.hz - 15734.3) < 0.5) {
                ++heard;
                hz.push_back(tone.hz);
                CHECK(std::abs(tone.hz - 15734.30) < 5.0 * tone.hz_sd + 0.02);
                CHECK(!tone.prominent);  // no criterion above 11.2 kHz
            } else if (tone.origin == Origin::board) {
                ++other_board_tones;
            }
        }
    }
    std::cout << "klettres de: line rate heard in " << heard << " of " << files.size() << " clips, "
              << other_board_tones << " other board tones\n";
    CHECK(files.size() == 30);
    // A search of all bins at 0.1 % needs 13 dB over a bin's noise, 1.4 s at a time: 13 clips have
    // that by a windowless periodogram at this frequency, 21 have 10 dB.
    CHECK(heard >= 12);
    CHECK(heard <= 22);
    REQUIRE(!hz.empty());
    CHECK(median(hz) == Approx(15734.30).margin(0.02));
    CHECK(other_board_tones <= 10);
}

TEST_CASE("a recorder's block rate under drums that ring out") {
    // 44 100 / 256 = 172.266 Hz, exact in ratio: one clock makes both. Multiples 2 … 6 in the
    // tails.
    const fs::path folder = "/usr/share/sonic-pi/samples";
    files_in(folder, "Debian: apt-get install sonic-pi-samples.");
    int heard = 0, clips = 0;
    for (const char* name : {"tabla_ghe2.flac", "tabla_ghe5.flac", "tabla_ghe6.flac", "tabla_ghe7.flac"}) {
        auto clip = read_clip((folder / name).string());
        REQUIRE(clip);
        REQUIRE(clip->sample_rate_hz == 44100.0);
        ++clips;
        // The quiet tail: its last 45 %.
        clip->samples.erase(clip->samples.begin(),
                            clip->samples.begin() + static_cast<std::ptrdiff_t>(clip->samples.size() * 55 / 100));
        int of_this = 0;
        for (const Tone& tone : find_tones(*clip).tones) {
            const double order = std::round(tone.hz / (44100.0 / 256.0));
            if (order < 2.0 || order > 6.0 || !tone.steady) continue;
            of_this += std::abs(tone.hz - order * 44100.0 / 256.0) < 5.0 * tone.hz_sd + 0.01;
        }
        std::cout << name << ": " << of_this << " multiples of the block rate in " << clip->seconds() << " s\n";
        heard += of_this > 0;
    }
    CHECK(heard >= 2);
    CHECK(clips == 4);
}

TEST_CASE("speech and noise hold no board tone above a voice's fundamental") {
    const auto files = files_in("/usr/share/sounds/alsa", "Debian: apt-get install alsa-utils.");
    for (const fs::path& file : files) {
        INFO(file.string());
        const auto clip = read_clip(file.string());
        REQUIRE(clip);
        for (const Tone& tone : find_tones(*clip).tones) {
            INFO(tone.hz << " Hz, evidence " << tone.evidence);
            CHECK((tone.hz < 300.0 || tone.origin != Origin::board));
        }
    }
}

TEST_CASE("a hum that wanders as a real grid does is mains", "[statistics]") {
    // ENF-WHU: mains voltage at 400 Hz. Its frequency over ten seconds drives a hum with harmonics,
    // as a transformer makes, in white noise; a board's 1000.0 Hz stands beside it.
    const auto files = files_in(TATTLETONE_SHARED_DIR "/real/mains", "Recordings of mains voltage, not shipped.");
    int voltages = 0;
    for (const fs::path& file : files) {
        if (file.extension() != ".wav") continue;
        ++voltages;
        const auto voltage = read_clip(file.string());
        REQUIRE(voltage);
        const std::vector<double> grid = mains_hz_by_second(*voltage);
        REQUIRE(grid.size() > 200);
        for (const std::size_t from : {std::size_t{20}, grid.size() / 2}) {
            INFO(file.filename().string() << " from " << from << " s");
            auto samples = made::white(480000, 0.001, from);
            for (const auto& [order, db_hz] :
                 {std::pair{1, 30.0}, {2, 45.0}, {3, 30.0}, {4, 40.0}, {6, 35.0}, {8, 30.0}, {12, 25.0}})
                made::add_path(
                    samples, made::rate_hz,
                    [&](double t) {
                        const double at = std::min(t, 10.9);
                        const auto second = static_cast<std::size_t>(at);
                        const double part = at - static_cast<double>(second);
                        return order * (grid[from + second] + part * (grid[from + second + 1] - grid[from + second]));
                    },
                    [&](double) { return made::amplitude_over_noise(db_hz, 0.001, made::rate_hz); }, order);
            made::add_tone(samples, made::rate_hz, 1000.0, made::amplitude_over_noise(30.0, 0.001, made::rate_hz));
            double mean = 0.0;
            for (std::size_t i = 0; i < 10; ++i) mean += 0.5 * (grid[from + i] + grid[from + i + 1]) / 10.0;
            const Tones tones = find_tones(made::recording(samples));
            int marked = 0;
            for (const Tone& tone : tones.tones) {
                const double order = std::round(tone.hz / mean);
                INFO(tone.hz << " ± " << tone.hz_sd << " Hz, grid " << mean << ", " << tone.rejection);
                if (std::abs(tone.hz - 1000.0) < 0.01 && std::abs(20.0 * mean - 1000.0) > 0.05)
                    CHECK(tone.origin == Origin::board);
                else if (order <= 12.0 && std::abs(tone.hz - order * mean) < 0.02 * order) {
                    CHECK(tone.origin == Origin::mains);
                    ++marked;
                }
            }
            CHECK(marked >= 5);
        }
    }
    CHECK(voltages >= 1);
}
