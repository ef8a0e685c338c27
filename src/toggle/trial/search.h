#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "toggle/plan/codes.h"
#include "toggle/trial/windows.h"

namespace tattletone::toggle {

/// Where one column agrees best with what was heard.
struct Match {
    double score = 0.0;  ///< ln of the likelihood ratio, with the priors of line and pace
    std::size_t line = 0;
    Alignment alignment;
};

/// Compares columns with the levels of all lines, at every place where the plan may begin (quarters of a step) and at
/// every pace, and gives each column's best score. The true column and those drawn anew go through the same arithmetic:
/// that is what makes the randomisation exact.
///
/// The recording is cut into pieces of 24 steps, too short for the pace to matter within one; a pace moves the pieces
/// against each other. Sums are of 16-bit integers, 32 lines at a time, and looked up for four steps at once.
class ColumnSearch {
  public:
    ColumnSearch(const Recorded& recorded, const std::vector<LineLevels>& lines, const std::vector<double>& log_priors);

    /// The best score of each.
    std::vector<double> scores(std::span<const Column> columns, int threads) const;
    /// With the place.
    Match best(const Column& column) const;

    /// How much of a line can go with a column at most, wherever the plan may have begun: its change, and that as a
    /// share of the line's power over the noise (2: all of it). Twice the standard error is added.
    struct Bound {
        double change_db = 0.0, share = 0.0;
    };
    Bound bound(const LineLevels& levels, const Recorded& recorded, const Column& column, std::size_t line) const;

  private:
    struct Lane {
        double log_prior = 0.0, to_correlation = 0.0, windows = 0.0;
    };
    struct Largest;
    double score_of(const Lane& lane, bool as_planned, int sum) const;
    /// Of one column and the block of lines whose table it is: by lane the largest sum as planned and at another pace.
    void compare(const std::vector<std::int16_t>& table, const Column& column, std::vector<std::int16_t>& sums,
                 Largest& largest) const;
    std::vector<std::int16_t> table_of(std::size_t block) const;
    /// The same sums one by one, each given to `take(place in quarter steps, pace, sum)`.
    template <class Take>
    void each_sum(std::size_t line, const Column& column, const Take& take) const;

    std::size_t steps_ = 0, pieces_ = 0, blocks_ = 0;
    double step_seconds_ = 0.0;
    std::vector<Lane> lanes_;              ///< by line
    std::vector<std::int16_t> levels_;     ///< by block, quarter, window, lane
    std::vector<double> paces_;            ///< the planned one first
    std::vector<std::vector<int>> moved_;  ///< by pace and piece, in quarter steps
    int reach_ = 0;                        ///< the largest of these
};

}  // namespace tattletone::toggle
