#pragma once

#include <cstdint>
#include <memory>
#include <unordered_map>
#include <vector>

#include "match/model/weigher.h"

namespace tattletone::match {

/// Which line_matches of a assignment make their tones; the others' tones are made by somebody else, and the lines
/// are hidden behind them. Only the first 64 line_matches of a assignment are kept.
using PartMask = std::uint64_t;

struct Candidate {
    Assignment assignment;
    Bound bound;
    double upper = 0.0;  ///< log of the most that the odds of any part can be
    double whole = 0.0;  ///< the same of the whole assignment
};

/// A source with the assignments that can matter, and their weights by part, computed when first asked for.
struct Hypothesis {
    int source = 0;
    int twin = -1;  ///< second undeclared family: index of the first
    std::size_t fewest_tones = 1;
    std::vector<Candidate> candidates;  ///< the largest `upper` first
    double left_out = -1e9;             ///< log odds of the best whole assignment beyond the last of them
    std::size_t tones_left_out = 0;     ///< the most that a assignment had over the line_matches that are kept
    std::shared_ptr<Weigher> weigher;

    PartMask free_part(int candidate, const std::vector<char>& used) const;
    /// Null where this part is no explanation (too few tones, or not worth a thought).
    const Weight* weight_of(int candidate, PartMask part);
    /// Log of the most that the hypothesis can multiply a joint explanation by; 0 or more.
    double upper(const std::vector<char>& used) const;
    /// Of two undeclared families the second takes only later assignments, so that no line_match counts twice.
    int first_allowed(int choice_of_twin) const;

  private:
    std::vector<std::unordered_map<PartMask, Weight>> weights_;
};

std::vector<Hypothesis> hypotheses_of(const Observations& observations, const std::vector<Source>& sources,
                                      const CardGrid& grid);

}  // namespace tattletone::match
