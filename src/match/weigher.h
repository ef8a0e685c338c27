#pragma once

#include <optional>
#include <span>
#include <vector>

#include "match/card_grid.h"
#include "match/mode.h"

namespace tattletone {

/// Odds of "this singer makes exactly these tones" against "it is not heard and nobody declared them",
/// as a function of the card error: exp(log_scale) · shape[node - first].
struct Weight {
    double log_scale = -1e9;
    double log_total = -1e9;             ///< log ∫ over the card's prior, alone
    bool flat = true;                    ///< the same at every node
    std::size_t first = 0;
    std::vector<double> shape;
    double x = 0.0, x_sd = 0.0;          ///< where the pairs put the singer
};

/// Never below the log odds of any part of the mode at any card error: base + Σ gain over the part.
struct Bound {
    double base = 0.0;
    std::vector<double> gain;            ///< by pair, 0 or more
};

/// Weighs the modes of one singer: the probability of each line to be there, to be seen, at its level,
/// and ∫dδ over the one deviation which must place them all.
class Weigher {
  public:
    Weigher(const Scene& scene, const Singer& singer, const CardGrid& grid);
    Weight weigh(std::span<const Pair> seen) const;
    /// All of the mode's lines lie behind tones which others explain.
    Weight weigh_hidden(std::span<const Pair> hidden) const;
    Bound bound(std::span<const Pair> pairs) const;

    /// Expected lines at x that would probably have been seen (`at_least`) and are not among `seen`,
    /// if the singer is as loud as those: orders and the probability to have seen them.
    struct Missing {
        int order = 1;
        double hz = 0.0, seen = 0.0;
    };
    std::vector<Missing> missing(std::span<const Pair> seen, double at_least) const;

  private:
    static constexpr int levels = 12;
    static constexpr int states = levels * drive_characters;   ///< level and character of a drive
    struct Row {
        double hz = 0.0;
        int order = 1;
        double miss[states] = {};        ///< probability not to be seen
    };
    using States = double[states];

    double hz_at(int place, int order, double x) const;
    std::vector<Row> rows_at(double x, const TakeSet& takes, double& reference_db) const;
    const std::vector<Row>& rows_for(double x, const TakeSet& takes, double& reference_db) const;
    bool hidden_at(double hz, std::span<const Pair> seen) const;
    /// Tones other than `apart_from`'s hide lines.
    void add_missing(std::span<const Pair> seen, std::span<const Pair> apart_from, const std::vector<Row>& rows,
                     double x, States& sum) const;
    double log_seen(const Pair& pair, int state, double reference_db) const;
    double emission_of(const Pair& pair, int character) const;
    double log_movement(std::span<const Pair> seen) const;
    double log_presence(std::span<const Pair> seen, const TakeSet& heard_in, double x) const;
    bool is_main(const Place& place, const TakeSet& takes) const;
    void add_seen(std::span<const Pair> seen, double reference_db, States& sum) const;
    const TakeSet& takes_of(const Pair& pair) const;
    bool has_twin(std::span<const Pair> among, const Pair& pair) const;
    bool has_line_at(const SceneTone& tone, std::size_t take, double x) const;
    bool elsewhere(std::span<const Pair> seen, const Pair& pair, std::size_t take, double x, double& log_missed) const;
    void add_other_settings(const TakeSet& takes, double x, double reference_db, States& sum) const;
    double log_spot(std::span<const Pair> seen) const;
    double log_tone(const Pair& pair) const;
    double log_paths(std::span<const Pair> seen) const;
    double log_lowest(std::span<const Pair> seen) const;
    void spread(Weight& weight, double log_constant, std::optional<double> beat_sd) const;
    std::optional<double> beat_sd(std::span<const Pair> pairs) const;
    TakeSet heard_in(std::span<const Pair> seen) const;
    double level_of(int state) const;

    const Scene& scene_;
    const Singer& singer_;
    const CardGrid& grid_;
    double log_state_[states] = {};
    double emission_[drive_characters][most_order + 1] = {};
    double log_emission_[drive_characters][most_order + 1] = {};
    double envelope_db_[most_order + 1] = {};
    double scatter_db_ = 0.0, log_scatter_ = 0.0;
    struct Cached {
        TakeSet takes;
        double reference_db = 0.0;
        std::vector<Row> rows;
    };
    mutable std::vector<Cached> cache_;  ///< fixed rates: their lines hardly move; one thread only
    mutable std::vector<Row> rows_;
};

}  // namespace tattletone
