#include "board/sheet/nearest.h"

#include <algorithm>
#include <cctype>
#include <numeric>
#include <vector>

namespace tattletone::board {
namespace {

char plain(char letter) {
    if (letter == '-') return '_';
    return static_cast<char>(std::tolower(static_cast<unsigned char>(letter)));
}

// Levenshtein's distance, with neighbours swapped counted as one step (the commonest slip).
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> older(b.size() + 1), previous(b.size() + 1), current(b.size() + 1);
    std::iota(previous.begin(), previous.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        current[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool same = plain(a[i - 1]) == plain(b[j - 1]);
            current[j] = std::min({previous[j] + 1, current[j - 1] + 1, previous[j - 1] + !same});
            if (i > 1 && j > 1 && plain(a[i - 1]) == plain(b[j - 2]) && plain(a[i - 2]) == plain(b[j - 1]))
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
        const std::size_t distance = edit_distance(typed, word);
        if (distance >= least) continue;
        least = distance;
        nearest = word;
    }
    return nearest;
}

}  // namespace tattletone::board
