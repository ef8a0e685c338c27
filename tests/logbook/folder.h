#pragma once

#include <cmath>
#include <filesystem>
#include <random>
#include <string>

#include "logbook/logbook.h"
#include "sound/clip/clip_writer.h"
#include "support/names.h"

/// A folder of its own for one test case, gone afterwards.
struct Folder {
    std::filesystem::path path;
    Folder() {
        path =
            std::filesystem::temp_directory_path() / ("tattletone lógbook " + std::to_string(std::random_device{}()));
        std::filesystem::create_directories(path);
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path, ignored);
    }
    std::string file(const std::string& name) const { return (path / name).string(); }
};

inline tattletone::Recording whine(double hz, double seconds = 0.5, unsigned seed = 1) {
    tattletone::Recording recording;
    recording.sample_rate_hz = 48000.0;
    std::mt19937 chance(seed);
    std::normal_distribution<float> noise(0.0F, 0.01F);
    const auto count = static_cast<std::size_t>(seconds * recording.sample_rate_hz);
    for (std::size_t i = 0; i < count; ++i)
        recording.samples.push_back(
            noise(chance) +
            0.1F * static_cast<float>(std::sin(2.0 * 3.141592653589793 * hz * static_cast<double>(i) / 48000.0)));
    return recording;
}
