// Seeded mutations of sheets through the fuzz target, for machines without libFuzzer.
// sheet_mutations [seed] [rounds]

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

const std::vector<std::string> seeds = {
    "[board]\nname = \"Heron\"\nrevision = \"C\"\nstates = [\"idle\", \"ranging\"]\n[[rail]]\nid = "
    "\"3V0\"\nregulator = "
    "\"linear\"\nv_in = 5.0\n[[part]]\nid = \"ranger\"\nrail = \"3V0\"\npeak_ma = "
    "145\n[[part.rate]]\nid = \"frame\"\nhz = "
    "9600\ntolerance_ppm = 50\nshape = \"pulse\"\nactive_in = [\"ranging\"]\n[[part]]\nid = "
    "\"reg\"\n[[part.rate]]\nid = "
    "\"burst\"\nhz_min = 2000\nhz_max = 4e4\n[[part.rate]]\nid = \"osc\"\nhz = "
    "5e5\ntolerance_percent = 3\n[[part.rate]]\nid = "
    "\"osc2\"\nhz = 503000\n",
    "board = { name = \"B\" }\npart = [ { id = \"p\", rate = [ { id = \"r\", hz = 60 } ] } ]\n",
    "[board]\nname = '''a\nb'''\n# c\n[board.x]\ny = [[1, 2], [\"a\"]]\nd = "
    "1979-05-27T07:32:00Z\n"};

const std::vector<std::string> tokens = {"[[part]]\n",
                                         "[[part.rate]]\n",
                                         "[[rail]]\n",
                                         "[board]\n",
                                         "hz = ",
                                         "id = \"a\"\n",
                                         "\"",
                                         "'''",
                                         "\"\"\"",
                                         "[",
                                         "]",
                                         "{",
                                         "}",
                                         "=",
                                         "\n",
                                         ".",
                                         "-",
                                         "1e308",
                                         "nan",
                                         "inf",
                                         "0x",
                                         "\xEF\xBB\xBF",
                                         "\xFF",
                                         "\r",
                                         std::string(1, '\0'),
                                         "\\u0000",
                                         "9223372036854775807",
                                         "states = []\n"};

template <class Random>
std::size_t below(Random& random, std::size_t count) {
    return count == 0 ? 0 : random() % count;
}

template <class Random>
void mutate(std::string& text, Random& random) {
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
            text.insert(below(random, text.size() + 1),
                        text.substr(std::min(at, text.size()), 4 * length));
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

}  // namespace

int main(int count, char** words) {
    const auto seed =
        static_cast<std::uint32_t>(count > 1 ? std::strtoul(words[1], nullptr, 10) : 1);
    const long rounds = count > 2 ? std::strtol(words[2], nullptr, 10) : 20000;
    std::mt19937 random(seed);
    std::printf("seed %u, %ld rounds\n", seed, rounds);
    std::fflush(stdout);
    for (long round = 0; round < rounds; ++round) {
        std::string text = seeds[below(random, seeds.size())];
        for (std::size_t i = 0; i <= below(random, 8); ++i) mutate(text, random);
        std::ofstream("sheet_mutations.last", std::ios::binary) << text;
        LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
    }
    std::remove("sheet_mutations.last");
    return 0;
}
