#pragma once

#include <cstdint>
#include <memory>
#include <unordered_map>
#include <vector>

#include "match/weigher.h"

namespace tattletone {

/// Which pairs of a mode make their tones; the others' tones are made by somebody else, and the lines
/// are hidden behind them. Only the first 64 pairs of a mode are kept.
using PartMask = std::uint64_t;

struct Candidate {
    Mode mode;
    Bound bound;
    double upper = 0.0;                  ///< log of the most that the odds of any part can be
    double whole = 0.0;                  ///< the same of the whole mode
};

/// A singer with the modes that can matter, and their weights by part, computed when first asked for.
struct Contender {
    int singer = 0;
    int twin = -1;                       ///< second undeclared family: index of the first
    std::size_t fewest_tones = 1;
    std::vector<Candidate> candidates;   ///< the largest `upper` first
    double left_out = -1e9;              ///< log odds of the best whole mode beyond the last of them
    std::size_t tones_left_out = 0;      ///< the most that a mode had over the pairs that are kept
    std::shared_ptr<Weigher> weigher;

    PartMask free_part(int candidate, const std::vector<char>& used) const;
    /// Null where this part is no explanation (too few tones, or not worth a thought).
    const Weight* weight_of(int candidate, PartMask part);
    /// Log of the most that the contender can multiply a joint explanation by; 0 or more.
    double upper(const std::vector<char>& used) const;
    /// Of two undeclared families the second takes only later modes, so that no pair counts twice.
    int first_allowed(int choice_of_twin) const;

  private:
    std::vector<std::unordered_map<PartMask, Weight>> weights_;
};

std::vector<Contender> contenders_of(const Scene& scene, const std::vector<Singer>& singers, const CardGrid& grid);

}  // namespace tattletone
