#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <numeric>
#include <random>
#include <string>

#include "logbook/storage/kept_findings.h"
#include "logbook/storage/kept_floor.h"
#include "logbook/units/measurements.h"
#include "match/json/findings_json.h"
#include "match/json/findings_of_json.h"
#include "mutate_json.h"
#include "report/html/page.h"
#include "report/text/text.h"
#include "support/names.h"

using namespace tattletone;

long findings_read = 0;  // for the driver: how many were not refused

namespace {

bool within(double value, double low, double high) {
    return value >= low && value <= high;
}

bool plausible(const UnitTone& tone, std::size_t takes) {
    const Tone& line = tone.tone;
    for (const HeardIn& heard : tone.heard_in)
        if (heard.take < 0 || static_cast<std::size_t>(heard.take) >= takes ||
            !within(heard.level_dbfs, -1000.0, 1000.0))
            return false;
    return within(line.level_dbfs, -1000.0, 1000.0) && within(line.hz, 0.0, 1e10) && within(line.hz_sd, 0.0, 1e10) &&
           within(line.tone_to_noise_db, -1000.0, 1000.0) && within(line.present, 0.0, 1.0);
}

// What was printed is read, and printed again as it is.
std::string rewritten(const std::string& json) {
    const auto findings = findings_of_json(json);
    if (!findings) std::abort();
    return findings_json(*findings);
}

}  // namespace

// The input is what a logbook keeps of a measurement: findings, and behind a zero byte a noise floor. Whatever
// they are: findings within plausible bounds that can be printed in every form and read again, or an error that says
// what to do; and the logbook can be used further.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static auto database = Database::open(":memory:", Database::Mode::create);
    if (!database) std::abort();
    const std::string input(reinterpret_cast<const char*>(data), size);
    const std::size_t end = std::min(input.find('\0'), input.size());
    const std::string floor = end < input.size() ? input.substr(end + 1) : std::string();
    const auto findings = findings_of(*database, input.substr(0, end), {unpacked_floor(floor)});
    if (database->failed()) std::abort();
    if (!findings) {
        if (findings.error().what.empty() || findings.error().todo.empty()) std::abort();
        return 0;
    }
    ++findings_read;
    for (const UnitTone& tone : findings->unit.tones)
        if (!plausible(tone, findings->unit.takes.size())) std::abort();
    // Printing takes most of the time: every fourth input is printed, chosen by its bytes.
    if (std::accumulate(data, data + size, 0u) % 4 != 0) return 0;
    const std::size_t most = 100'000 + 400 * size;
    if (findings_page(*findings, nullptr, {}, "").size() > most) std::abort();
    if (findings_text(*findings, {}).size() > most) std::abort();
    if (findings_json(*findings).size() > most) std::abort();
    // Twice: a value that is printed as 0 may mean something else from then on.
    const std::string json = rewritten(rewritten(input.substr(0, end)));
    if (rewritten(json) != json) std::abort();
    return 0;
}

#if defined(TATTLETONE_LIBFUZZER)
extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

// Where libFuzzer links it: two in three changes leave JSON what it is.
extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t most, unsigned seed) {
    std::minstd_rand random(seed);
    if (below(random, 3) == 0) return LLVMFuzzerMutate(data, size, most);
    std::string text(reinterpret_cast<const char*>(data), size);
    mutate_json(text, random);
    if (text.size() > most) return size;
    std::memcpy(data, text.data(), text.size());
    return text.size();
}
#endif
