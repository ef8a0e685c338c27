#pragma once

#include <vector>

#include "tones/judge/rejection_limits.h"
#include "tones/tones.h"

namespace tattletone::tones {

/// Marks the tones that belong to a mains family (50 or 60 Hz and its multiples) as
/// `Origin::mains`. One grid a recording, whose frequency is estimated from the family's own low members, within 0.4 %
/// (0.2 Hz of 50 Hz: the largest steady deviation of Europe's grid, Regulation (EU) 2017/1485, Annex III), so that a
/// board's 1000 Hz is not taken for the 20th harmonic when the grid is at 50.01 Hz. A lone tone is a family only at the
/// first, second, third, fourth or sixth multiple.
void mark_mains(std::vector<Tone>& tones, const RejectionLimits& limits = {});

/// Whether a line stands where the mains that `mark_mains` found among `tones` would have a
/// multiple.
bool on_mains_grid(const std::vector<Tone>& tones, double hz, double hz_sd, const RejectionLimits& limits = {});

/// Whether it stands at multiples of 50 or 60 Hz from three or more tones within 2 kHz.
bool in_mains_comb(const std::vector<Tone>& tones, double hz, double hz_sd, const RejectionLimits& limits = {});

/// Marks lines around a stronger one at distances that are multiples of 50 or 60 Hz, three or more
/// of them, as `Origin::unsure`: hum modulates the stronger line (in the recorder, in a supply),
/// and which rate they meet by chance says nothing.
void reject_mains_sidebands(std::vector<Tone>& tones, const RejectionLimits& limits = {});

}  // namespace tattletone::tones
