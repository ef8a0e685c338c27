#pragma once

#include <vector>

#include "match/comb/comb_score.h"

namespace tattletone::match {

/// The same as CombScore for a source that moves while it is heard: all its lines are spread over one share of their
/// frequency, and each is looked for in all the bins that this takes up.
class SpreadScore {
  public:
    static constexpr int widths = 6;

    explicit SpreadScore(const CombScore& steady);

    /// `spread`: relative, from the lowest to the highest frequency of a line.
    double quick_log_ratio(double fundamental_hz, const Orders& orders, double spread) const;
    double log_ratio(double fundamental_hz, const Orders& orders, double spread) const;
    /// As CombScore::lines; `power` is that of the whole line over the noise of a bin, and 1.
    std::vector<CombScore::Line> lines(double fundamental_hz, const Orders& orders, double spread) const;

  private:
    static constexpr int levels = 128;
    /// The window of a line: sum of powers, -1 where it cannot tell.
    double sum_at(double hz, std::size_t width) const;
    std::size_t width_of(double spread_hz) const;
    const std::array<float, CombScore::columns>& row(std::size_t band, std::size_t width, double sum) const;
    void sum(double fundamental_hz, const Orders& orders, double spread, CombScore::Sums& sums) const;
    void set_tables();

    const CombScore& steady_;
    double bin_hz_ = 0.0;
    std::vector<float> power_before_;  ///< by bin: sum of the powers below it
    std::vector<int> masked_before_;
    std::vector<std::array<float, CombScore::columns>> table_;  ///< by band, width and level of the sum
};

}  // namespace tattletone::match
