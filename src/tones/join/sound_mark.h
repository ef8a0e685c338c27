#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace tattletone::tones {

/// By which one sound is known again in another file: louder, trimmed or compressed it is no further evidence. Levels
/// of narrow bands, whose noise no other recording has; a tone, however steady, tells nothing.
struct SoundMark {
    static constexpr std::size_t bands = 26;
    static constexpr double low_hz = 200.0, band_hz = 150.0;
    /// What comes later is not looked at, so that the memory of it is bounded: 1 MB.
    static constexpr double longest_seconds = 600.0;

    std::vector<float> seconds;  ///< of each row's middle, from the start of the recording; ascending
    std::vector<float> rows;     ///< `bands` values each: ln of the mean square in a band
};

/// One row of a mark from a frame's densities.
void add_mark_row(std::span<const float> densities, double bin_hz, std::vector<float>& rows);

/// How alike two sounds are where they are most alike.
struct Likeness {
    double correlation = 0.0;  ///< of the changes of level, −1 to 1
    double over_chance = 0.0;  ///< in standard deviations of what the other ways to lay them over each other give
    double over_others = 0.0;  ///< against the best of those
    double overlap_seconds = 0.0;
    double shift_seconds = 0.0;  ///< the second's start after the first's
};
Likeness likeness_of(const SoundMark& first, const SoundMark& second);

/// Whether they are one sound, or parts of it: two recordings made at different times never are.
bool same_sound(const SoundMark& first, const SoundMark& second);

struct Tones;

/// The same of two recordings whose tones are known: those that stand out stand in both, by as much over the noise.
/// False without marks.
bool same_sound(const Tones& first, const Tones& second);

}  // namespace tattletone::tones
