#pragma once

namespace tattletone::toggle {

/// How many columns are drawn anew, and what p is when no more are. Where hardly any is as good as the true one, few
/// draws tell; where some are, p ≤ 0.001 needs many to be told; where most are, it needs few again. All columns having
/// the same chance to be the best, the p of an outcome is the chance of all that speak as much for the part or more:
/// exact, whatever the rule. In this order they speak for it: none of the first `clear` as good; of `most` so few; the
/// `enough_better`-th came so late (J. Besag and P. Clifford, Biometrika 78, 1991).
class Draws {
  public:
    Draws(long clear, long most, long enough_better);
    void count(bool as_good);
    bool enough() const;
    long drawn() const { return drawn_; }
    /// Of an outcome with which it is enough.
    double p() const;
    /// Of the next outcome that speaks more for the part; 0 where there is none.
    double next_p() const;

  private:
    double p_of(long drawn, long as_good) const;
    bool is_clear(long drawn, long as_good) const { return as_good == 0 && drawn == clear_; }

    long clear_, most_, enough_better_;
    long drawn_ = 0, as_good_ = 0;
};

}  // namespace tattletone::toggle
