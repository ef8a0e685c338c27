// Prints how long the logbook's lists take with many entries: `fill_logbook FOLDER [UNITS] [PER_UNIT]`.
// Batches of 100 units; every measurement has the four tones and two takes of sample_findings.h.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>

#include "logbook/recurrence.h"
#include "logbook/measurements.h"
#include "logbook/opinions.h"
#include "logbook/sha256.h"
#include "report/json.h"
#include "report/sample_findings.h"

using namespace tattletone;

namespace {
template <class Work>
double best_seconds(Work work) {
    double best = 1e9;
    for (int i = 0; i < 5; ++i) {
        const auto start = std::chrono::steady_clock::now();
        if (!work()) return -1.0;
        best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    return best;
}
}  // namespace

int main(int count, char** words) {
    if (count < 2) return 2;
    const int units = count > 2 ? std::atoi(words[2]) : 10000, per_unit = count > 3 ? std::atoi(words[3]) : 10;
    const std::string path = std::string(words[1]) + "/many.logbook";
    auto logbook = Logbook::open(path, Logbook::Mode::create);
    if (!logbook) return 1;
    Database& database = logbook->database();
    const Findings findings = sample::named();
    const KeptSheet sheet{sha256_of("[board]\n"), "Heron", "C", "[board]\n"};
    const PrintedFindings printed{&findings, findings_json(findings), "ranger.frame is singing.", "named"};
    database.script("PRAGMA synchronous = OFF");   // for filling only
    for (int i = 0; i < units; ++i) {
        Unit unit;
        unit.serial = std::to_string(i + 1);
        unit.batch = "B" + std::to_string(i / 100);
        const auto added = add_unit(*logbook, unit, sheet);
        if (!added) return 1;
        for (int k = 0; k < per_unit; ++k)
            if (!store_measurement(*logbook, *added, &sheet, printed, {},
                                   {{"a.flac", false, &findings.unit.takes[0].found},
                                    {"b.flac", false, &findings.unit.takes[1].found}},
                                   false))
                return 1;
    }
    if (auto row = database.query("PRAGMA wal_checkpoint(TRUNCATE)"); row.step()) {}
    const double bytes = static_cast<double>(std::filesystem::file_size(path));
    std::printf("%d units, %d measurements, %.0f bytes a measurement without clips\n", units, units * per_unit,
                bytes / (units * per_unit));
    const double show_seconds = best_seconds([&] {
                    const auto unit = find_unit(*logbook, "77");
                    return unit && latest_opinions(*logbook, "", unit->id) && list_measurements(*logbook, unit->id);
                });
    const double batch_seconds = best_seconds([&] {
                    return static_cast<bool>(view_batch(*logbook, {"B1", "", "", false}));
                });
    const double list_seconds = best_seconds([&] { return static_cast<bool>(list_units(*logbook, {})); });
    std::printf("unit show: %.4f s\nbatch show of 100 units: %.4f s\nlist of all units: %.4f s\n", show_seconds,
                batch_seconds, list_seconds);
    bool in_time = true;
    for (const double seconds : {show_seconds, batch_seconds, list_seconds})
        in_time = in_time && seconds >= 0.0 && seconds < 0.2;
    return in_time ? 0 : 1;
}
