// Seeded foreign logbooks through the fuzz target, for machines without libFuzzer.
// merge_mutations [seed] [rounds]; merge_mutations --seeds FOLDER writes what libFuzzer begins with.

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

#include "edited_book.h"
#include "mutate.h"
#include "support/names.h"

extern long merges_taken;
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

std::string real_bytes(const std::string& folder) {
    std::filesystem::create_directories(folder);
    std::string bytes = tattletone::real_book(folder + "/book");
    std::filesystem::remove_all(folder);
    return bytes;
}

}  // namespace

int main(int count, char** words) {
    using tattletone::below;
    const std::string book = real_bytes("merge_mutations.seed");
    if (book.empty()) return 1;
    if (count == 3 && std::string(words[1]) == "--seeds") {
        const std::string folder = words[2];
        std::ofstream(folder + "/book", std::ios::binary) << '\0' << book;
        std::mt19937 random(1);
        for (int i = 0; i < 64; ++i) {
            std::string edits(1, '\1');
            for (std::size_t k = below(random, 80); k-- > 0;) edits += static_cast<char>(random());
            std::ofstream(folder + "/edits" + std::to_string(i), std::ios::binary) << edits;
        }
        return 0;
    }
    const tattletone::Rounds rounds = tattletone::rounds_of(count, words, 300);
    const auto edited = [&](std::mt19937& random) {
        std::string input(1, '\1');
        if (below(random, 4) == 0) {
            input = '\0' + book;
            for (std::size_t i = 0; i <= below(random, 20); ++i)
                input[1 + below(random, book.size())] = static_cast<char>(random());
            if (below(random, 8) == 0) input.resize(below(random, input.size()) + 1);
        } else {
            for (std::size_t k = 1 + below(random, 60); k-- > 0;) input += static_cast<char>(random());
        }
        return input;
    };
    tattletone::run_rounds(rounds, "merge_mutations.last", edited, LLVMFuzzerTestOneInput);
    std::printf("%ld taken in, %ld refused\n", merges_taken, rounds.count - merges_taken);
    return merges_taken > rounds.count / 20 && merges_taken < rounds.count ? 0 : 1;
}
