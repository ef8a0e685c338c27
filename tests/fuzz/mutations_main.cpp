// Seeded mutations through a fuzz target, for machines without libFuzzer. Links with any NAME_fuzz.cpp.
// NAME_mutations SEED ROUNDS [NAME.dict] SEEDFILE…

#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "mutate.h"
#include "support/names.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

/// A target may count the inputs that were told to be wrong. Not what it returns: libFuzzer would not keep those.
extern "C" __attribute__((weak)) long fuzz_inputs_refused;

namespace {

namespace fs = std::filesystem;

std::string content_of(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(file), {});
}

int hex_of(char digit) {
    return digit <= '9' ? digit - '0' : (digit | 0x20) - 'a' + 10;
}

/// Words in double quotes, with \\, \" and \xAB in them; # begins a remark.
std::vector<std::string> words_of_dictionary(const fs::path& path) {
    std::vector<std::string> words;
    std::ifstream file(path);
    for (std::string line; std::getline(file, line);) {
        const std::size_t begin = line.find('"'), end = line.rfind('"');
        if (line.starts_with('#') || begin == std::string::npos || end == begin) continue;
        std::string word;
        for (std::size_t i = begin + 1; i < end; ++i) {
            if (line[i] == '\\' && line[i + 1] == 'x' && i + 3 < end) {
                word += static_cast<char>(16 * hex_of(line[i + 2]) + hex_of(line[i + 3]));
                i += 3;
            } else {
                if (line[i] == '\\') ++i;
                word += line[i];
            }
        }
        words.push_back(word);
    }
    return words;
}

/// The input being tried, in a file that outlives whatever it does. One file for all rounds: making 20 000 costs more
/// than the rounds.
class Last {
  public:
    explicit Last(std::string path) : path_(std::move(path)), file_(std::fopen(path_.c_str(), "wb")) {}

    void keep(const std::string& text) {
        if (file_ == nullptr) return;
        std::rewind(file_);
        if (std::fwrite(text.data(), 1, text.size(), file_) != text.size() || std::fflush(file_) != 0 ||
            ftruncate(fileno(file_), static_cast<off_t>(text.size())) != 0)
            std::printf("%s cannot be written\n", path_.c_str());
    }

    void remove() {
        if (file_ != nullptr) std::fclose(file_);
        fs::remove(path_);
    }

  private:
    std::string path_;
    std::FILE* file_;
};

}  // namespace

int main(int count, char** words) {
    const auto seed = static_cast<std::uint32_t>(count > 1 ? std::strtoul(words[1], nullptr, 10) : 1);
    const long rounds = count > 2 ? std::strtol(words[2], nullptr, 10) : 20000;
    std::vector<std::string> seeds, tokens;
    for (int i = 3; i < count; ++i) {
        const fs::path path(words[i]);
        if (path.extension() == ".dict") {
            tokens = words_of_dictionary(path);
        } else if (const std::string seed_text = content_of(path); !seed_text.empty()) {
            seeds.push_back(seed_text);
        }
    }
    if (seeds.empty()) {
        std::printf("no seed file holds anything\n");
        return 2;
    }
    if (tokens.empty()) tokens.emplace_back(1, '\0');
    std::printf("seed %u, %ld rounds, %zu seed files, %zu words\n", seed, rounds, seeds.size(), tokens.size());
    std::fflush(stdout);

    Last last{fs::path(words[0]).stem().string() + ".last"};
    std::mt19937 random(seed);
    for (long round = 0; round < rounds; ++round) {
        // The seeds themselves come first, then one change to each as often as several.
        std::string text = seeds[round < std::ssize(seeds) ? static_cast<std::size_t>(round)
                                                           : tattletone::below(random, seeds.size())];
        std::size_t changes = round < std::ssize(seeds) ? 0 : random() % 2 == 0 ? 1 : 1 + tattletone::below(random, 8);
        while (changes-- > 0) tattletone::mutate(text, seeds, tokens, random);
        last.keep(text);
        LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
    }
    last.remove();
    if (&fuzz_inputs_refused == nullptr) return 0;
    const long taken = rounds - fuzz_inputs_refused;
    std::printf("%ld taken, %ld refused\n", taken, fuzz_inputs_refused);
    // A run that takes everything or nothing tests little.
    return taken > rounds / 200 && taken < rounds ? 0 : 1;
}
