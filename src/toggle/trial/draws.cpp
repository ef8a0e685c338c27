#include "toggle/trial/draws.h"

#include <algorithm>

namespace tattletone::toggle {
namespace {

// Of `drawn` columns and the true one among them by rank: the chance that fewer than `fewer` are as good as it, or
// that none of the first `clear` is.
double chance_of(long drawn, long fewer, long clear) {
    const double ranks = static_cast<double>(drawn + 1);
    double chance = static_cast<double>(std::min(fewer, drawn + 1)) / ranks;
    if (clear > drawn) return chance;
    // None of the first `clear` has the chance 1/(clear + 1) in all, less where fewer than `fewer` of all are as good.
    chance += 1.0 / static_cast<double>(clear + 1);
    double none_clear = 1.0;
    for (long j = 0; j < fewer && none_clear > 0.0; ++j) {
        chance -= none_clear / ranks;
        none_clear *=
            static_cast<double>(std::max(0L, drawn - clear - j)) / static_cast<double>(std::max(1L, drawn - j));
    }
    return chance;
}

}  // namespace

Draws::Draws(long clear, long most, long enough_better)
    : clear_(std::min(clear, most)), most_(most), enough_better_(enough_better) {}

void Draws::count(bool as_good) {
    ++drawn_;
    as_good_ += as_good;
}

bool Draws::enough() const {
    return is_clear(drawn_, as_good_) || as_good_ >= enough_better_ || drawn_ >= most_;
}

double Draws::p_of(long drawn, long as_good) const {
    if (is_clear(drawn, as_good)) return 1.0 / static_cast<double>(clear_ + 1);
    if (as_good >= enough_better_) return chance_of(drawn - 1, enough_better_, clear_);
    return chance_of(most_, as_good + 1, clear_);
}

double Draws::p() const {
    return p_of(drawn_, as_good_);
}

double Draws::next_p() const {
    if (is_clear(drawn_, as_good_)) return 0.0;
    if (as_good_ >= enough_better_ && drawn_ < most_) return p_of(drawn_ + 1, enough_better_);
    return as_good_ > 1 ? p_of(most_, as_good_ - 1) : p_of(clear_, 0);
}

}  // namespace tattletone::toggle
