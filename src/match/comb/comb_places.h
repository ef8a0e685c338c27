#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include "match/comb/comb.h"
#include "match/comb/comb_score.h"
#include "match/comb/spread_score.h"
#include "match/model/observations.h"
#include "match/model/source.h"

namespace tattletone::match {

/// Where one source's comb stands out best from all takes together, MODEL.md 26. What it is given must outlive it.
class CombPlaces {
  public:
    CombPlaces(const Observations& observations, const Source& source, const std::vector<CombScore>& scores,
               const std::vector<const tones::Tones*>& found, const Orders& orders);

    /// For lines that are spread over a share of their frequency; one of several spreads that are as likely.
    void look_for_spread(const std::vector<SpreadScore>& scores, double spread) {
        spread_scores_ = &scores;
        spread_ = spread;
    }

    /// The best place between two x.
    std::optional<Comb> best(double low, double high) const;
    /// About x; in x's steps of `dx`.
    std::optional<Comb> comb_at(double x, double dx) const;
    /// By which the highest line moves half a bin; 0: no take can tell.
    double step_of(double x) const;

  private:
    /// How likely the source is to be heard in a take, and in one take at least.
    struct InTakes {
        std::vector<double> heard;
        double log_never = 0.0, log_never_where_it_runs = 0.0;
    };
    /// Its fundamental in one take at x.
    struct Fundamental {
        bool logarithmic = false;
        std::vector<double> hz;  ///< by take, of fixed rates
        double at(std::size_t take, double x) const { return logarithmic ? std::exp(x) : hz[take] * (1.0 + x); }
    };

    double log_prior(double x) const;
    double in_take(std::size_t take, double x, bool quick, double moved_hz = 0.0) const;
    double log_ratio(double x, bool quick) const;
    std::size_t told_take(double x) const;
    /// ln of the mean ratio of the same comb moved aside.
    double log_beside(double x) const;
    void add_lines(Comb& comb) const;

    const Observations& observations_;
    const Source& source_;
    const std::vector<CombScore>& scores_;
    const std::vector<const tones::Tones*>& found_;
    const std::vector<SpreadScore>* spread_scores_ = nullptr;
    double spread_ = 0.0;
    Orders orders_;
    InTakes in_;
    Fundamental fundamental_;
};

}  // namespace tattletone::match
