#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "match/model/card_grid.h"
#include "match/search/assignment.h"

namespace tattletone::match {

/// Odds of "this source makes exactly these tones" against "it is not heard and nobody declared them", as a function of
/// the card error: exp(log_scale) · shape[node - first].
struct Weight {
    double log_scale = -1e9;
    double log_total = -1e9;  ///< log ∫ over the card's prior, alone
    bool flat = true;         ///< the same at every node
    std::size_t first = 0;
    std::vector<double> shape;
    double x = 0.0, x_sd = 0.0;  ///< where the line_matches put the source
};

/// Never below the log odds of any part of the assignment at any card error: base + Σ gain over the part.
struct Bound {
    double base = 0.0;
    std::vector<double> gain;  ///< by line_match, 0 or more
};

/// Weighs the assignments of one source: the probability of each line to be there, to be seen, at its level, and ∫dδ
/// over the one deviation which must line them all.
class Weigher {
  public:
    Weigher(const Observations& observations, const Source& source, const CardGrid& grid);
    Weight weigh(std::span<const LineMatch> seen) const;
    /// All of the assignment's lines lie behind tones which others explain.
    Weight weigh_hidden(std::span<const LineMatch> hidden) const;
    Bound bound(std::span<const LineMatch> line_matches) const;
    static bool has_comb(std::span<const LineMatch> line_matches);

    /// Expected lines at x that would probably have been seen (`at_least`) and are not among `seen`, if the source is
    /// as loud as those: orders and the probability to have seen them.
    struct Missing {
        int order = 1;
        double hz = 0.0, seen = 0.0;
    };
    std::vector<Missing> missing(std::span<const LineMatch> seen, double at_least) const;

  private:
    static constexpr int levels = 12;
    static constexpr int states = levels * drive_characters;  ///< level and character of a drive
    struct Row {
        double hz = 0.0;
        int order = 1;
        double miss[states] = {};  ///< probability not to be seen
    };
    struct Expected {
        std::vector<Row> rows;
        double reference_db = 0.0;  ///< a level is told against it: the mean threshold of the source's first lines
    };
    using States = std::array<double, states>;

    /// Of the tones of `seen` that are no comb's, and the comb of the others.
    Weight weigh_comb(std::span<const LineMatch> seen) const;
    Bound bound_of_comb(std::span<const LineMatch> line_matches) const;
    /// All of a weight's logarithm that does not depend on the clock.
    double log_constant_of(std::span<const LineMatch> seen, double x) const;

    double hz_at(int line, int order, double x) const;
    Expected expected_at(double x, const TakeSet& takes) const;
    const Expected& expected_for(double x, const TakeSet& takes) const;
    bool hidden_at(double hz, std::span<const LineMatch> seen) const;
    /// Tones other than `apart_from`'s hide lines.
    void add_missing(std::span<const LineMatch> seen, std::span<const LineMatch> apart_from,
                     const std::vector<Row>& rows, double x, States& sum) const;
    double log_seen(const LineMatch& line_match, int state, double reference_db) const;
    double emission_of(const LineMatch& line_match, int character) const;
    double log_movement(std::span<const LineMatch> seen) const;
    double log_presence(std::span<const LineMatch> seen, const TakeSet& heard_in, double x) const;
    bool is_main(const ExpectedLine& line, const TakeSet& takes) const;
    void add_seen(std::span<const LineMatch> seen, double reference_db, States& sum) const;
    const TakeSet& takes_of(const LineMatch& line_match) const;
    bool has_twin(std::span<const LineMatch> among, const LineMatch& line_match) const;
    bool has_line_at(const ObservedTone& tone, std::size_t take, double x) const;
    bool elsewhere(std::span<const LineMatch> seen, const LineMatch& line_match, std::size_t take, double x,
                   double& log_missed) const;
    void add_other_settings(const TakeSet& takes, double x, double reference_db, States& sum) const;
    double log_spot(std::span<const LineMatch> seen) const;
    double log_falls(std::span<const LineMatch> seen) const;
    double log_tone(const LineMatch& line_match) const;
    double log_paths(std::span<const LineMatch> seen) const;
    double log_lowest(std::span<const LineMatch> seen) const;
    void spread(Weight& weight, double log_constant, std::optional<double> beat_sd) const;
    std::optional<double> beat_sd(std::span<const LineMatch> line_matches) const;
    TakeSet heard_in(std::span<const LineMatch> seen) const;
    double level_of(int state) const;

    const Observations& observations_;
    const Source& source_;
    const CardGrid& grid_;
    States log_state_{};
    double emission_[drive_characters][board::most_order + 1] = {};
    double log_emission_[drive_characters][board::most_order + 1] = {};
    double envelope_db_[board::most_order + 1] = {};
    double scatter_db_ = 0.0, log_scatter_ = 0.0;
    struct Cached {
        TakeSet takes;
        Expected expected;
    };
    mutable std::vector<Cached> cache_;  ///< fixed rates: their lines hardly move; one thread only
    mutable Expected expected_;
};

}  // namespace tattletone::match
