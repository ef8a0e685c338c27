#pragma once

#include <unistd.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "support/skip.h"

/// Clips for the tests of sound/: bytes laid down one by one, or made by ffmpeg and sox as found.
namespace clip_maker {

/// Gone with everything in it at the end of the test.
class Folder {
  public:
    Folder() {
        std::string pattern = (std::filesystem::temp_directory_path() / "tattletone-clips-XXXXXX").string();
        REQUIRE(mkdtemp(pattern.data()) != nullptr);
        path_ = pattern;
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::string operator/(const std::string& name) const { return path_ + "/" + name; }
    const std::string& path() const { return path_; }

  private:
    std::string path_;
};

inline bool run(const std::string& command) {
    return std::system(("( " + command + " ) >/dev/null 2>&1").c_str()) == 0;
}

inline bool have(const std::string& tool) {
    return run("command -v " + tool);
}

/// Skips the case where the tool is missing.
inline void need(const std::string& tool) {
    if (!have(tool)) skip_test(tool + " is not installed");
}

class Bytes {
  public:
    Bytes& text(std::string_view t) {
        data_.append(t);
        return *this;
    }
    Bytes& number(std::uint64_t value, int bytes) {
        for (int i = 0; i < bytes; ++i) data_.push_back(static_cast<char>(value >> (8 * i) & 0xFF));
        return *this;
    }
    template <class Value>
    Bytes& raw(Value value) {
        char bytes[sizeof(Value)];
        std::memcpy(bytes, &value, sizeof(Value));
        data_.append(bytes, sizeof(Value));
        return *this;
    }
    const std::string& string() const { return data_; }
    void save(const std::string& path) const {
        std::ofstream file(path, std::ios::binary);
        file << data_;
        REQUIRE(file.good());
    }

  private:
    std::string data_;
};

/// RIFF 1991: 'fmt ' of 16 bytes.
inline std::string plain_format(int tag, int channels, int rate_hz, int bits) {
    const int align = channels * bits / 8;
    return Bytes()
        .text("fmt ")
        .number(16, 4)
        .number(tag, 2)
        .number(channels, 2)
        .number(rate_hz, 4)
        .number(static_cast<std::uint64_t>(rate_hz) * align, 4)
        .number(align, 2)
        .number(bits, 2)
        .string();
}

inline std::string wav(const std::string& parts) {
    return Bytes().text("RIFF").number(4 + parts.size(), 4).text("WAVE").text(parts).string();
}

inline std::string data_part(const std::string& samples) {
    Bytes part;
    part.text("data").number(samples.size(), 4).text(samples);
    if (samples.size() % 2 == 1) part.number(0, 1);
    return part.string();
}

inline void save(const std::string& bytes, const std::string& path) {
    Bytes().text(bytes).save(path);
}

inline std::string sine_s16(double hz, double rate_hz, std::size_t count, double amplitude) {
    Bytes samples;
    for (std::size_t i = 0; i < count; ++i) {
        const double turn = 2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz;
        samples.raw(static_cast<std::int16_t>(std::lround(32767.0 * amplitude * std::sin(turn))));
    }
    return samples.string();
}

/// Level of a line by projection on sine and cosine over a Hann window (the textbook definition of
/// the Fourier coefficient); 0 dBFS is a full-scale sine.
inline double line_dbfs(std::span<const float> x, double hz, double rate_hz) {
    double c = 0.0, s = 0.0, weight = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double w = 0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * (static_cast<double>(i) + 0.5) /
                                              static_cast<double>(x.size()));
        const double turn = 2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz;
        c += w * x[i] * std::cos(turn);
        s += w * x[i] * std::sin(turn);
        weight += w;
    }
    return 20.0 * std::log10(2.0 * std::hypot(c, s) / weight);
}

}  // namespace clip_maker
