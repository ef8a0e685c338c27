#include "logbook/storage/kept_floor.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>

namespace tattletone::logbook {
namespace {

constexpr std::size_t bytes_a_point = 10, most_points = 100'000;

void put(std::string& bytes, std::uint32_t value, int count) {
    for (int i = 0; i < count; ++i) bytes += static_cast<char>(value >> (8 * i) & 255u);
}

std::uint32_t get(const std::string& bytes, std::size_t at, int count) {
    std::uint32_t value = 0;
    for (int i = 0; i < count; ++i)
        value |= std::uint32_t{static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)])} << (8 * i);
    return value;
}

std::uint32_t hundredths(double db) {
    return static_cast<std::uint16_t>(
        static_cast<std::int16_t>(std::lround(std::clamp(100.0 * db, -32700.0, 32700.0))));
}

double decibels(std::uint32_t value) {
    return 0.01 * static_cast<std::int16_t>(static_cast<std::uint16_t>(value));
}

}  // namespace

std::string packed_floor(std::span<const tones::FloorPoint> floor) {
    std::string bytes;
    bytes.reserve(bytes_a_point * floor.size());
    for (const tones::FloorPoint& point : floor) {
        put(bytes, std::bit_cast<std::uint32_t>(static_cast<float>(point.hz)), 4);
        put(bytes, hundredths(point.noise_dbfs_per_hz), 2);
        put(bytes, hundredths(point.steady_above_dbfs), 2);
        put(bytes, hundredths(point.wandering_above_dbfs), 2);
    }
    return bytes;
}

std::vector<tones::FloorPoint> unpacked_floor(const std::string& bytes) {
    std::vector<tones::FloorPoint> floor;
    for (std::size_t at = 0; at + bytes_a_point <= bytes.size(); at += bytes_a_point) {
        tones::FloorPoint point;
        point.hz = static_cast<double>(std::bit_cast<float>(get(bytes, at, 4)));
        // Levels cannot be written wrong; what is no rising frequency makes the rest a stranger's.
        if (!(point.hz >= 0.0) || !std::isfinite(point.hz)) break;
        if (!floor.empty() && point.hz < floor.back().hz) break;
        if (floor.size() == most_points) break;
        point.noise_dbfs_per_hz = decibels(get(bytes, at + 4, 2));
        point.steady_above_dbfs = decibels(get(bytes, at + 6, 2));
        point.wandering_above_dbfs = decibels(get(bytes, at + 8, 2));
        floor.push_back(point);
    }
    return floor;
}

std::string packed_gaps(std::span<const std::size_t> gaps) {
    std::string text = "[";
    for (const std::size_t gap : gaps) text += (text.size() > 1 ? "," : "") + std::to_string(gap);
    return text + "]";
}

}  // namespace tattletone::logbook
