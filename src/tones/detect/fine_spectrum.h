#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

namespace tattletone::tones {

class SegmentSpectrum;
class NoiseFloor;
struct LineFit;
struct Band;

/// Power of a recording's spectrum, or of a segment's, over its noise, at the bins of its transform and half-way
/// between them, in a byte each: what a search for many faint lines that go together reads (match/comb). Lines that
/// were found are left in, their leakage is taken out.
struct FineSpectrum {
    double step_hz = 0.0;
    std::vector<std::uint8_t> code;  ///< by step from 0 Hz; 0: not in the usable band

    /// Of a longer recording those of its next segments, as far as they are kept.
    std::vector<std::shared_ptr<const FineSpectrum>> later = {};

    static constexpr int codes = 256;
    /// Power over the mean noise by code; the last stands for all that is more.
    static double power_of(int code);
    static std::uint8_t code_of(double power);
};

/// `fits`: the lines whose leakage is taken out.
FineSpectrum fine_spectrum(const SegmentSpectrum& spectrum, const NoiseFloor& floor, const Band& band,
                           std::span<const LineFit> fits);

}  // namespace tattletone::tones
