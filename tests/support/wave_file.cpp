#include "support/wave_file.h"
#include "support/names.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <iterator>

namespace tattletone::scenes {

namespace {

void put(std::string& bytes, std::uint32_t value, int size) {
    for (int i = 0; i < size; ++i) bytes += static_cast<char>((value >> (8 * i)) & 0xffu);
}

std::uint32_t get(const std::string& bytes, std::size_t at, int size) {
    std::uint32_t value = 0;
    for (int i = 0; i < size; ++i)
        value |= static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)]))
                 << (8 * i);
    return value;
}

}  // namespace

bool write_wave(const std::string& path, std::span<const float> samples, double sample_rate_hz) {
    const auto size = static_cast<std::uint32_t>(2 * samples.size());
    const auto rate = static_cast<std::uint32_t>(std::lround(sample_rate_hz));
    std::string bytes = "RIFF";
    put(bytes, 36 + size, 4);
    bytes += "WAVEfmt ";
    put(bytes, 16, 4);
    put(bytes, 1, 2);
    put(bytes, 1, 2);
    put(bytes, rate, 4);
    put(bytes, 2 * rate, 4);
    put(bytes, 2, 2);
    put(bytes, 16, 2);
    bytes += "data";
    put(bytes, size, 4);
    for (const float sample : samples)
        put(bytes, static_cast<std::uint32_t>(std::lround(static_cast<double>(sample) * 32768.0)) & 0xffffu, 2);
    std::ofstream file(path, std::ios::binary);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    return file.good();
}

std::vector<float> read_wave(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    const std::string bytes((std::istreambuf_iterator<char>(file)), {});
    std::vector<float> samples;
    for (std::size_t at = 12; at + 8 <= bytes.size();) {
        const std::size_t size = get(bytes, at + 4, 4), body = at + 8;
        if (bytes.compare(at, 4, "data") == 0) {
            for (std::size_t i = body; i + 2 <= std::min(bytes.size(), body + size); i += 2)
                samples.push_back(static_cast<float>(static_cast<std::int16_t>(get(bytes, i, 2))) / 32768.0f);
            return samples;
        }
        at = body + size + size % 2;
    }
    return samples;
}

}  // namespace tattletone::scenes
