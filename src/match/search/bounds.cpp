#include "match/search/bounds.h"

#include <cmath>

#include "match/explain/wording.h"

namespace tattletone::match {
namespace {

std::string name_of(const Observations& observations, const Source& source) {
    return source.rate < 0 ? "families that nobody declared"
                           : observations.sheet->rates[static_cast<std::size_t>(source.rate)].full_name;
}

std::string slow_rates(const Observations& observations) {
    std::vector<std::string> slow;
    for (const board::Rate& rate : observations.sheet->rates) {
        const double lowest = rate.wanders() ? rate.hz_min : rate.hz;
        if (observations.thresholds.empty() || (board::most_order + 1) * lowest > observations.limits.high_hz) continue;
        slow.push_back(rate.full_name + " (" + as_declared(lowest) + (rate.wanders() ? " at its lowest" : "") +
                       ") up to " + as_declared(board::most_order * lowest));
    }
    if (slow.empty()) return {};
    return "Only the first " + std::to_string(board::most_order) + " multiples of a rate are compared: of " +
           joined(slow) + ". A tone above that counts for them only together with many others.";
}

}  // namespace

std::vector<std::string> sheet_notices(const Observations& observations) {
    std::vector<std::string> notices;
    if (std::string slow = slow_rates(observations); !slow.empty()) notices.push_back(std::move(slow));
    if (observations.unsure_spared > 0)
        notices.push_back("Of " + std::to_string(observations.unsure_spared) +
                          " tones nobody can say whether the board makes them. So many are a voice's or music's as a "
                          "rule: none of them is held against a rate.");
    return notices;
}

std::vector<std::string> search_notices(const Observations& observations, const std::vector<Source>& sources,
                                        const JointPosterior& outcome) {
    const BoundsMet& met = outcome.bounds;
    std::vector<std::string> notices;
    for (const auto& [source, count] : met.tones_left_out)
        notices.push_back("More tones fit lines of " +
                          name_of(observations, sources[static_cast<std::size_t>(source)]) +
                          " than can be weighed together: the highest " + std::to_string(count) +
                          " of them may be listed as nobody's though they are its own.");
    if (!met.assignments_left_out.empty()) {
        std::vector<std::string> names;
        for (const int source : met.assignments_left_out) {
            std::string name = name_of(observations, sources[static_cast<std::size_t>(source)]);
            if (names.empty() || names.back() != name) names.push_back(std::move(name));
        }
        notices.push_back("The tones fit " + joined(names) +
                          " in more ways than are weighed. Some that were left out are likely enough to count: with "
                          "them the probability would be somewhat higher.");
    }
    if (met.search_cut)
        notices.push_back("The search was cut: there are more explanations than it may try (" +
                          std::to_string(observations.search.most_nodes) + " steps). The probabilities compare the " +
                          std::to_string(outcome.explanations) +
                          " that it had by then and are neither lower nor upper bounds: one that it did not come to "
                          "could raise or lower each of them.");
    else if (met.search_raised)
        notices.push_back(
            "There are too many explanations to try them all (" + std::to_string(observations.search.most_nodes) +
            " steps): rates with odds under " + std::to_string(std::lround(std::exp(met.least_strong))) +
            " to 1 were weighed one by one beside the stronger ones. The probabilities are estimates, neither "
            "lower nor upper bounds.");
    return notices;
}

}  // namespace tattletone::match
