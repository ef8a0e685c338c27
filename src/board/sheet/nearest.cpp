#include "board/sheet/nearest.h"

#include <algorithm>
#include <numeric>
#include <vector>

#include "base/text/lower_case.h"

namespace tattletone::board {
namespace {

// Capitals, and a dash for an underscore, are no slips.
std::string plain(std::string_view word) {
    std::string text = base::lower_case(word);
    std::replace(text.begin(), text.end(), '-', '_');
    return text;
}

// Levenshtein's distance, with neighbours swapped counted as one step (the commonest slip).
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> older(b.size() + 1), previous(b.size() + 1), current(b.size() + 1);
    std::iota(previous.begin(), previous.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        current[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool same = a[i - 1] == b[j - 1];
            current[j] = std::min({previous[j] + 1, current[j - 1] + 1, previous[j - 1] + !same});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                current[j] = std::min(current[j], older[j - 2] + 1);
        }
        std::swap(older, previous);
        std::swap(previous, current);
    }
    return previous[b.size()];
}

}  // namespace

std::string nearest_word(std::string_view typed, std::span<const std::string> known) {
    constexpr std::size_t longest = 64;
    if (typed.empty() || typed.size() > longest) return {};
    std::string nearest;
    std::size_t least = std::max<std::size_t>(1, typed.size() / 3) + 1;
    for (const std::string& word : known) {
        const std::size_t distance = edit_distance(plain(typed), plain(word));
        if (distance >= least) continue;
        least = distance;
        nearest = word;
    }
    return nearest;
}

}  // namespace tattletone::board
