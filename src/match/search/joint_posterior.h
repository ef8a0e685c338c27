#pragma once

#include <vector>

#include "match/model/weigher.h"

namespace tattletone::match {

/// One tone's share in the answer.
struct Claim {
    int tone = 0, source = 0;
    LineMatch line_match;
    double probability = 0.0;
};

struct SourcePosterior {
    double sings = 0.0;          ///< posterior
    Assignment best;             ///< lines of the likeliest way in which it sings; empty: none
    double x = 0.0, x_sd = 0.0;  ///< of that way
    bool hidden = false;         ///< that way: behind tones which others explain
};

/// Which source makes which tone, told by claims without probabilities.
struct JointAttribution {
    double probability = 0.0;
    std::vector<Claim> claims;
};

/// What the search did not look into (match/search/bounds.h tells it).
struct BoundsMet {
    bool search_raised = false, search_cut = false;           ///< as in SearchResult
    double least_strong = 0.0;                                ///< log odds, as in SearchResult
    std::vector<int> assignments_left_out;                    ///< sources
    std::vector<std::pair<int, std::size_t>> tones_left_out;  ///< source and how many
};

struct JointPosterior {
    std::vector<SourcePosterior> sources;
    std::vector<Claim> claims;
    std::vector<JointAttribution>
        attributions;                       ///< sum to 1; rates that are hidden behind others' tones are not told apart
    double log_evidence = 0.0;              ///< ln of the odds that any source makes tones, against none
    double undeclared = 0.0;                ///< that a board tone is there which no declared rate explains
    double single_tones = 0.0;              ///< mean number of board tones which nothing explains
    double card_mean = 0.0, card_sd = 0.0;  ///< relative
    int explanations = 0;                   ///< joint explanations that were summed
    BoundsMet bounds;
};

/// Sums over joint explanations: sets of sources, each in one assignment, no tone made twice. Branch and bound
/// over all choices that matter finds the best joint explanation and every one within a factor e^-6.9 of it.
/// Choices of small odds (and rates hidden behind others' tones) are added to each explanation
/// independently of each other.
JointPosterior weigh_together(const Observations& observations, const std::vector<Source>& sources,
                              const CardGrid& grid);

}  // namespace tattletone::match
