#include "tones/judge/level_swing.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/decibels.h"

namespace tattletone::tones {
namespace {

constexpr double apart_hz = 8.0;          // 4/T60 with T60 = 0.5 s
constexpr double together_seconds = 3.0;  // longer, and loads and hands change the level
constexpr double least_carrier_to_noise_db = 10.0, most_noise_db = 1.5;
constexpr std::size_t least_pairs = 12, frames_apart = 2;  // frames overlap by half
constexpr double least_places = 3.0;
/// Of the difference of two normal numbers: its median size over one's standard deviation.
constexpr double median_of_difference = 0.9539;
/// Standard deviation in dB of a level whose noise is `share` of its power, from both quadratures' one.
double noise_db(double share) {
    return 10.0 / std::log(10.0) * std::sqrt(2.0 * share);
}

}  // namespace

std::optional<LevelSwing> level_swing(const Tone& tone, const Tones& found) {
    if (tone.steady || found.floor.empty() || tone.history.size() < 2 * frames_apart) return std::nullopt;
    const double hop_seconds = tone.history[1].seconds - tone.history[0].seconds;
    const double noise_dbfs = floor_at(found, tone.hz).noise_dbfs_per_hz - base::power_to_db(2.0 * hop_seconds);
    std::vector<const TonePoint*> points;
    for (std::size_t i = 0; i < tone.history.size(); i += frames_apart) points.push_back(&tone.history[i]);
    std::vector<double> differences;
    double low_hz = tone.history[0].hz, high_hz = low_hz, noise_share = 0.0;
    std::size_t used = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        if (points[i]->level_dbfs < noise_dbfs + least_carrier_to_noise_db) continue;
        ++used;
        noise_share += base::db_to_power(noise_dbfs - points[i]->level_dbfs);
        low_hz = std::min(low_hz, points[i]->hz);
        high_hz = std::max(high_hz, points[i]->hz);
        for (std::size_t j = i + 1; j < points.size(); ++j) {
            if (points[j]->seconds - points[i]->seconds > together_seconds) break;
            if (std::abs(points[i]->hz - points[j]->hz) < apart_hz) continue;
            if (points[j]->level_dbfs < noise_dbfs + least_carrier_to_noise_db) continue;
            differences.push_back(std::abs(points[i]->level_dbfs - points[j]->level_dbfs));
        }
    }
    // Where the level fell into the noise for long the rest is no fair sample of it.
    if (differences.size() < least_pairs || 3 * used < 2 * points.size()) return std::nullopt;
    const double noise = noise_db(noise_share / static_cast<double>(used));
    if (noise > most_noise_db) return std::nullopt;
    const auto middle = differences.begin() + static_cast<std::ptrdiff_t>(differences.size() / 2);
    std::nth_element(differences.begin(), middle, differences.end());
    const double swing = *middle / median_of_difference;
    LevelSwing result;
    result.db = std::sqrt(std::max(0.0, swing * swing - noise * noise));
    result.places = 1.0 + (high_hz - low_hz) / apart_hz;
    if (result.places < least_places) return std::nullopt;
    return result;
}

}  // namespace tattletone::tones
