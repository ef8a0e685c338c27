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

#include "mutate.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

using tattletone::below;
using tattletone::mutate;

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
        for (std::size_t i = 0; i <= below(random, 8); ++i) mutate(text, seeds, tokens, random);
        std::ofstream("sheet_mutations.last", std::ios::binary) << text;
        LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
    }
    std::remove("sheet_mutations.last");
    return 0;
}
