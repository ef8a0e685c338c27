#pragma once

#include <algorithm>
#include <string>
#include <vector>

namespace tattletone {

template <class Random>
std::size_t below(Random& random, std::size_t count) {
    return count == 0 ? 0 : random() % count;
}

/// One change somewhere: a token put in, a piece cut, doubled or taken from another seed, a byte changed,
/// the end cut off.
template <class Random>
void mutate(std::string& text, const std::vector<std::string>& seeds, const std::vector<std::string>& tokens,
            Random& random) {
    const std::size_t at = below(random, text.size() + 1), length = below(random, 24);
    switch (below(random, 6)) {
        case 0:
            text.insert(at, tokens[below(random, tokens.size())]);
            break;
        case 1:
            text.erase(std::min(at, text.size()), length);
            break;
        case 2:
            if (at < text.size()) text[at] = static_cast<char>(random());
            break;
        case 3:
            text.insert(below(random, text.size() + 1), text.substr(std::min(at, text.size()), 4 * length));
            break;
        case 4:
            text.resize(at);
            break;
        default: {
            const std::string& other = seeds[below(random, seeds.size())];
            text.insert(at, other.substr(below(random, other.size()), 4 * length));
        }
    }
}

}  // namespace tattletone
