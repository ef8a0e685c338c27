// Seeded mutations of stored findings through the fuzz target, for machines without libFuzzer.
// findings_mutations [seed] [rounds]; findings_mutations --seeds FOLDER writes what libFuzzer begins with.

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "logbook/storage/kept_floor.h"
#include "match/json/findings_json.h"
#include "mutate_json.h"
#include "report/sample_findings.h"
#include "support/names.h"

extern long findings_read;
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

using namespace tattletone;

std::vector<std::string> real_findings() {
    std::vector<std::string> seeds = {"{}"};
    const Findings findings = sample::named();
    const std::string json = findings_json(findings);
    const std::string floor = packed_floor(findings.unit.takes[0].found.floor);
    seeds.push_back(json);
    seeds.push_back(json + '\0' + floor);
    seeds.push_back(
        R"({"recordings":[{"path":"a.wav","sample_rate_hz":48000,"seconds":10,"usable_band_hz":[100,20000],)"
        R"("notices":["silence: x"],"changed":[{"rate":"a.b","hz":4000}],"off":["c"]}],"verdict":"named",)"
        R"("tones":[{"id":1,"hz":3000,"hz_sd":0.1,"level_dbfs":-60,"origin":"board","heard_in":[{"recording":0,)"
        R"("level_dbfs":-60}],"explained_by":[{"rate":"a.b","kind":"sideband","order":-2,"other":"c.d",)"
        R"("probability":0.9}]}],"suspects":[{"rate":"a.b","probability":0.9,"tones":[1],"reasons":["r"]}]})" +
        std::string(1, '\0') + floor);
    return seeds;
}

const std::vector<std::string> tokens = {"\"recordings\":",
                                         "\"tones\":",
                                         "\"suspects\":",
                                         "\"heard_in\":",
                                         "\"explained_by\":",
                                         "\"usable_band_hz\":[",
                                         "\"level_dbfs\":",
                                         "\"hz\":",
                                         "\"id\":",
                                         "\"order\":",
                                         "\"kind\":\"beat\"",
                                         "{",
                                         "}",
                                         "[",
                                         "]",
                                         "[[[[[[[[",
                                         ",",
                                         ":",
                                         "\"",
                                         "\\u0000",
                                         "\\ud800",
                                         "null",
                                         "true",
                                         "-",
                                         "1e308",
                                         "-1e308",
                                         "1e999",
                                         "-1e999",
                                         "1e-320",
                                         "9223372036854775808",
                                         "2147483648",
                                         "-2147483649",
                                         "nan",
                                         "\xFF",
                                         std::string(1, '\0'),
                                         "\x1b[2J",
                                         "<script>"};

}  // namespace

int main(int count, char** words) {
    const auto seeds = real_findings();
    if (count == 3 && std::string(words[1]) == "--seeds") {
        for (std::size_t i = 0; i < seeds.size(); ++i)
            std::ofstream(std::string(words[2]) + "/findings" + std::to_string(i), std::ios::binary) << seeds[i];
        return 0;
    }
    const Rounds rounds = rounds_of(count, words, 4000);
    const auto mutated = [&](std::mt19937& random) {
        std::string text = seeds[below(random, seeds.size())];
        const bool keeps_json = below(random, 4) != 0;
        for (std::size_t i = 0; i <= below(random, 6); ++i)
            keeps_json ? mutate_json(text, random) : mutate(text, seeds, tokens, random);
        return text;
    };
    run_rounds(rounds, "findings_mutations.last", mutated, LLVMFuzzerTestOneInput);
    std::printf("%ld read, %ld refused\n", findings_read, rounds.count - findings_read);
    return findings_read > rounds.count / 2 && findings_read < rounds.count ? 0 : 1;
}
