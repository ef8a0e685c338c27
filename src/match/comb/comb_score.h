#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "tones/detect/fine_spectrum.h"
#include "tones/tones.h"

namespace tattletone::match {

/// What is left out of a spectrum: from, to.
struct MaskedHz {
    double low_hz = 0.0, high_hz = 0.0;
};

/// Which orders of a fundamental: first, first + step, …, at most last.
struct Orders {
    int first = 1, step = 1, last = 1'000'000;
};

/// How much likelier one recording's spectrum is if a source sings whose lines, all the multiples of one fundamental
/// within some part of the band, stand a few times over the noise, than as noise and strays. Parts of the band and
/// levels are weighed beforehand; MODEL.md 26.
class CombScore {
  public:
    static constexpr int bands = 11, columns = 8;

    /// Of a recording of several segments the sum over those whose spectrum is kept, of one fundamental; lines and
    /// codes are those of the first.
    CombScore(const tones::Tones& found, const std::vector<MaskedHz>& masked);

    bool can_tell() const { return last_step_ > first_step_; }
    double step_hz() const { return step_hz_; }
    double low_hz() const { return step_hz_ * static_cast<double>(first_step_); }
    double high_hz() const { return step_hz_ * static_cast<double>(last_step_); }
    double seconds() const { return seconds_; }

    /// ln of the ratio for the best part of the band and level alone: never above `log_ratio` by more than rounding.
    double quick_log_ratio(double fundamental_hz, const Orders& orders) const;
    /// ln of the ratio. `moved_hz`: of all lines, to see what stands beside them.
    double log_ratio(double fundamental_hz, const Orders& orders, double moved_hz = 0.0) const;

    struct Line {
        int order = 1;
        double hz = 0.0, power = 0.0, gain = 0.0;  ///< power over the noise of a bin; gain: ln of its ratio
    };
    /// The lines of the likeliest part of the band and level; of several segments their mean power and the sum of their
    /// gains.
    std::vector<Line> lines(double fundamental_hz, const Orders& orders) const;

    // What SpreadScore and the blind scan have in common with it.
    using Sums = std::array<std::array<float, columns>, bands>;
    struct Run {
        std::size_t first = 0, last = 0, column = 0;  ///< bands, and which of the columns
    };
    std::span<const std::uint8_t> codes() const { return code_; }
    /// ln of the ratio of one line.
    float gain(std::size_t band, int code, std::size_t column) const {
        return table_[band * tones::FineSpectrum::codes + static_cast<std::size_t>(code)][column];
    }
    double edge_hz(std::size_t band) const { return step_hz_ * static_cast<double>(edge_step_[band]); }
    double best_of(const Sums& sums) const;
    double mean_of(const Sums& sums) const;
    static Run likeliest(const Sums& sums);

  private:
    CombScore(const tones::FineSpectrum& fine, const tones::Band& usable, const std::vector<MaskedHz>& masked);
    void sum(double fundamental_hz, const Orders& orders, double moved_hz, Sums& sums) const;
    void add_own(double fundamental_hz, const Orders& orders, double moved_hz, Sums& sums) const;
    Line line_at(int order, double hz, std::size_t column) const;
    void count();
    void set_tables();

    double step_hz_ = 0.0, seconds_ = 0.0;
    std::size_t first_step_ = 0, last_step_ = 0;
    std::vector<std::uint8_t> code_;
    std::array<std::size_t, bands + 1> edge_step_{};
    int used_bands_ = 0;
    double log_parts_ = 0.0;
    std::array<std::array<std::uint32_t, tones::FineSpectrum::codes>, bands> counts_{};
    std::vector<std::array<float, columns>> table_;  ///< by band and code
    std::vector<CombScore> later_;                   ///< segments
};

}  // namespace tattletone::match
