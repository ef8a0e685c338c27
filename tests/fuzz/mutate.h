#pragma once

#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
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

/// What the command line asks for: words[1] the seed, words[2] the rounds.
struct Rounds {
    std::uint32_t seed;
    long count;
};

inline Rounds rounds_of(int count, char** words, long usual) {
    return {static_cast<std::uint32_t>(count > 1 ? std::strtoul(words[1], nullptr, 10) : 1),
            count > 2 ? std::strtol(words[2], nullptr, 10) : usual};
}

/// Gives `target` what `make(random)` returns, again and again. The input at work lies in the file `last`, which stays
/// where the target ends the program.
template <class Make, class Target>
void run_rounds(const Rounds& rounds, const std::string& last, Make make, Target target) {
    std::mt19937 random(rounds.seed);
    std::printf("seed %u, %ld rounds\n", rounds.seed, rounds.count);
    std::fflush(stdout);
    for (long round = 0; round < rounds.count; ++round) {
        const std::string input = make(random);
        std::ofstream(last, std::ios::binary) << input;
        target(reinterpret_cast<const std::uint8_t*>(input.data()), input.size());
    }
    std::filesystem::remove(last);
}

}  // namespace tattletone
