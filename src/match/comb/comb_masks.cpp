#include "match/comb/comb_masks.h"

#include <algorithm>
#include <cmath>

#include "tones/detect/fine_spectrum.h"

namespace tattletone::match {
namespace {

// A buzz goes on beyond the multiples that are found.
constexpr double mains_mask_ppm = 600.0, mains_to_hz = 6000.0, mains_beyond_found = 2.5, widest_mains_share = 2e-3;

void mask(std::vector<MaskedHz>& masked, double low_hz, double high_hz, double by_hz) {
    masked.push_back({low_hz - by_hz, high_hz + by_hz});
}

bool speaks(const tones::Tone& tone, Speaking speaking) {
    return tone.steady && ((speaking != Speaking::none && tone.origin == tones::Origin::board) ||
                           (speaking == Speaking::unsure && tone.origin == tones::Origin::unsure));
}

}  // namespace

std::vector<MaskedHz> masked_of(const tones::UnitTones& unit, const tones::Tones& found, Speaking speaking) {
    std::vector<MaskedHz> masked;
    const double step_hz = found.fine ? found.fine->step_hz : 0.0;
    double mains_hz = 0.0, mains_end_hz = mains_to_hz, mains_share = mains_mask_ppm * 1e-6;
    for (const tones::Tone& tone : found.tones) {
        if (tone.origin == tones::Origin::mains && tone.mains_hz > 0.0) mains_hz = tone.mains_hz;
        // The grid wanders meanwhile, all its lines by one share.
        if (tone.origin == tones::Origin::mains)
            mains_share =
                std::max(mains_share, (std::abs(tone.end_hz - tone.start_hz) + 2.5 * tone.wander_hz) / tone.hz);
        if (tone.mains_multiple > 0) mains_end_hz = std::max(mains_end_hz, mains_beyond_found * tone.hz);
        if (speaks(tone, speaking)) continue;
        const double half = std::max(5.0 * step_hz, 3.0 * tone.hz_sd);
        const auto [low, high] = std::minmax({tone.hz, tone.start_hz, tone.end_hz});
        mask(masked, low, high, tone.steady ? half : half + 2.5 * tone.wander_hz + 20.0 * step_hz);
    }
    mains_share = std::min(mains_share, widest_mains_share);
    if (mains_hz > 0.0)
        for (double hz = mains_hz; hz < mains_end_hz; hz += mains_hz)
            mask(masked, hz, hz, 3.0 * step_hz + mains_share * hz);
    for (const tones::RoomLine& line : unit.room_lines)
        mask(masked, line.hz, line.hz, 5.0 * step_hz + (line.steady ? 3e-5 : 5e-3) * line.hz);
    return masked;
}

void mask_lines(std::vector<MaskedHz>& masked, double fundamental_hz, double step_hz, double end_hz) {
    for (double hz = fundamental_hz; hz < end_hz; hz += fundamental_hz) mask(masked, hz, hz, 2.0 * step_hz);
}

}  // namespace tattletone::match
