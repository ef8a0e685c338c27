#pragma once

#include <vector>

#include "tones/tones.h"

namespace tattletone::tones {

/// From this share of samples at the limit on, what stronger tones would make there is no evidence.
inline constexpr double products_from_share = 1e-3;

/// A limit on both sides makes of tones their sums and differences k1·f1 ± k2·f2 … with k1 + k2 + … odd, folded at half
/// the sample rate, however high (for small orders: W. R. Bennett, Bell Syst. Tech. J. 12, 1933). Marks the tones that
/// are such products of stronger ones and not louder than a limit can make them: `product_hz`, and unsure where they
/// were the board's. `tones` ascend in hz.
void mark_products(std::vector<Tone>& tones, double sample_rate_hz);

}  // namespace tattletone::tones
