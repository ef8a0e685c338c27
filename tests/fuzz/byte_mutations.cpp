// Seeded mutations of files through a fuzz target, for machines without libFuzzer.
// NAME_mutations FOLDER [seed] [rounds]: FOLDER holds the files to begin with (clip_seeds.py).
// The bytes that broke it are left in NAME_mutations.last.

#include <fcntl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "mutate.h"
#include "support/names.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);
extern "C" long accepted_inputs;  // of the target: how many held sound

namespace {

using tattletone::below;

constexpr long most_kilobytes = 300'000;  // what any clip may cost

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool memory_counts = false;  // the sanitizers' own is more
#else
constexpr bool memory_counts = true;
#endif

const std::vector<std::uint64_t> numbers = {0,
                                            1,
                                            2,
                                            3,
                                            7,
                                            20,
                                            64,
                                            65,
                                            0x7F,
                                            0x80,
                                            0xFF,
                                            0x100,
                                            4000,
                                            0x7FFF,
                                            0x8000,
                                            0xFFFE,
                                            0xFFFF,
                                            0x10000,
                                            100000000,
                                            0x7FFFFFFF,
                                            0x80000000,
                                            0xFFFFFFFE,
                                            0xFFFFFFFF,
                                            0x7FFFFFFFFFFFFFFF,
                                            0xFFFFFFFFFFFFFFFF};

const std::vector<std::string> tokens = {"RIFF",
                                         "RF64",
                                         "WAVE",
                                         "fmt ",
                                         "data",
                                         "ds64",
                                         "ftyp",
                                         "moov",
                                         "mdat",
                                         "OggS",
                                         "fLaC",
                                         "ID3",
                                         "\xFF\xFB",
                                         "\x1A\x45\xDF\xA3",
                                         "#!AMR\n",
                                         std::string(8, '\0'),
                                         std::string(8, '\xFF')};

/// A number of one to eight bytes, of either order, over what stands there: mostly in the head, where sizes stand.
void write_number(std::string& bytes, std::mt19937& random) {
    if (bytes.empty()) return;
    const std::size_t reach = random() % 4 == 0 ? bytes.size() : std::min<std::size_t>(bytes.size(), 400);
    const std::size_t at = below(random, reach), width = std::size_t{1} << below(random, 4);
    const std::uint64_t value = random() % 4 == 0 ? random() : numbers[below(random, numbers.size())];
    const bool big = random() % 2 == 0;
    for (std::size_t i = 0; i < width && at + i < bytes.size(); ++i)
        bytes[at + i] = static_cast<char>(value >> (8 * (big ? width - 1 - i : i)));
}

std::string bytes_at_work, last_path;

void leave_bytes(int signal_number) {
    const int file = open(last_path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
    if (file >= 0 && write(file, bytes_at_work.data(), bytes_at_work.size()) >= 0) close(file);
    std::signal(signal_number, SIG_DFL);
    std::raise(signal_number);
}

std::vector<std::string> files_of(const std::string& folder) {
    std::vector<std::filesystem::path> paths;
    std::error_code problem;
    for (const auto& entry : std::filesystem::directory_iterator(folder, problem))
        if (entry.is_regular_file()) paths.push_back(entry.path());
    std::sort(paths.begin(), paths.end());
    std::vector<std::string> files;
    for (const auto& path : paths) {
        std::ifstream file(path, std::ios::binary);
        files.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
    }
    return files;
}

}  // namespace

int main(int count, char** words) {
    if (count < 2) return 2;
    const auto seed = static_cast<std::uint32_t>(count > 2 ? std::strtoul(words[2], nullptr, 10) : 1);
    const long rounds = count > 3 ? std::strtol(words[3], nullptr, 10) : 20000;
    const std::vector<std::string> seeds = files_of(words[1]);
    if (seeds.empty()) {
        std::printf("there are no files in %s\n", words[1]);
        return 1;
    }
    last_path = std::filesystem::path(words[0]).filename().string() + ".last";
    for (const int signal_number : {SIGABRT, SIGSEGV, SIGFPE, SIGBUS, SIGILL, SIGTERM})
        std::signal(signal_number, leave_bytes);
    std::mt19937 random(seed);
    std::printf("seed %u, %ld rounds from %zu files\n", seed, rounds, seeds.size());
    std::fflush(stdout);
    for (long round = 0; round < rounds; ++round) {
        const bool as_it_is = static_cast<std::size_t>(round) < seeds.size();  // every file once
        bytes_at_work = seeds[as_it_is ? static_cast<std::size_t>(round) : below(random, seeds.size())];
        for (std::size_t changes = as_it_is ? 0 : 1 + below(random, 6); changes > 0; --changes) {
            if (random() % 4 != 0)
                write_number(bytes_at_work, random);
            else
                tattletone::mutate(bytes_at_work, seeds, tokens, random);
        }
        LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes_at_work.data()), bytes_at_work.size());
    }
    rusage used{};
    getrusage(RUSAGE_SELF, &used);
    std::printf("%ld held sound; at most %ld MB of memory\n", accepted_inputs, used.ru_maxrss / 1000);
    if (memory_counts && used.ru_maxrss > most_kilobytes) return 1;
    return accepted_inputs > rounds / 10 && accepted_inputs < rounds ? 0 : 1;
}
