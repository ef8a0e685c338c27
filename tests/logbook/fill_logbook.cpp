// Fills a logbook and compares what its lists cost then with what they cost at a tenth of the units; prints how long
// they take: `fill_logbook FOLDER [UNITS] [PER_UNIT]`. Status 1: the work grows more than it may. Batches of 100 units;
// every measurement has the four tones and two takes of sample_findings.h.

#include <sqlite3.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <string>

#include "logbook/storage/sha256.h"
#include "logbook/units/measurements.h"
#include "logbook/units/opinions.h"
#include "logbook/units/recurrence.h"
#include "match/json/findings_json.h"
#include "report/sample_findings.h"
#include "support/names.h"

using namespace tattletone;

namespace {

struct Work {
    double seconds = 1e9;  ///< of the processor: others may keep the machine busy
    long steps = 0;        ///< of SQLite's virtual machine: the same in every run
    bool done = true;
};

template <class Ask>
Work work_of(Database& database, Ask ask) {
    Work work;
    const auto count_step = [](void* steps) {
        ++*static_cast<long*>(steps);
        return 0;
    };
    sqlite3_progress_handler(database.handle(), 1, count_step, &work.steps);
    work.done = ask();
    sqlite3_progress_handler(database.handle(), 0, nullptr, nullptr);
    for (int i = 0; i < 9; ++i) {
        const std::clock_t start = std::clock();
        work.done = ask() && work.done;
        work.seconds = std::min(work.seconds, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
    }
    return work;
}

struct Lists {
    Work show, batch, all;
};

Lists work_of_lists(Logbook& logbook, int units) {
    Lists lists;
    lists.show = work_of(logbook.database(), [&] {
        const auto unit = find_unit(logbook, "77");
        return unit && latest_opinions(logbook, "", unit->id) && list_measurements(logbook, unit->id);
    });
    lists.batch = work_of(logbook.database(), [&] {
        return static_cast<bool>(view_batch(logbook, {"B1", "", "", false}));
    });
    lists.all = work_of(logbook.database(), [&] {
        const auto list = list_units(logbook, {});
        return list && list->size() == static_cast<std::size_t>(units);
    });
    return lists;
}

/// Whether the work of the larger logbook is at most so many times that of the smaller one.
bool grows_at_most(const char* what, const Work& few, const Work& many, double steps, double seconds) {
    const double more_steps = static_cast<double>(many.steps) / static_cast<double>(few.steps);
    const double more_seconds = many.seconds / few.seconds;
    const bool good = few.done && many.done && few.steps > 0 && more_steps <= steps && more_seconds <= seconds;
    std::printf(
        "%s: %.4f s and %ld steps of SQLite; %.2f times the steps (at most %.1f) and %.2f times the processor time "
        "(at most %.0f) of a tenth of the units%s\n",
        what, many.seconds, many.steps, more_steps, steps, more_seconds, seconds, good ? "" : ": WRONG");
    return good;
}

}  // namespace

int main(int count, char** words) {
    if (count < 2) return 2;
    const int units = count > 2 ? std::atoi(words[2]) : 10000, per_unit = count > 3 ? std::atoi(words[3]) : 10;
    if (units < 2000) return 2;  // batch B1 and unit 77 are whole in a tenth of them
    const std::string path = std::string(words[1]) + "/many.logbook";
    auto logbook = Logbook::open(path, Logbook::Mode::create);
    if (!logbook) return 1;
    Database& database = logbook->database();
    const Findings findings = sample::named();
    const KeptSheet sheet{sha256_of("[board]\n"), "Heron", "C", "[board]\n"};
    const PrintedFindings printed{&findings, findings_json(findings), "ranger.frame is singing.", "named"};
    database.script("PRAGMA synchronous = OFF");  // for filling only
    Lists few;
    for (int i = 0; i < units; ++i) {
        if (i == units / 10) few = work_of_lists(*logbook, i);
        Unit unit;
        unit.serial = std::to_string(i + 1);
        unit.batch = "B" + std::to_string(i / 100);
        const auto added = add_unit(*logbook, unit, sheet);
        if (!added) return 1;
        for (int k = 0; k < per_unit; ++k)
            if (!store_measurement(*logbook, *added, &sheet, printed, {},
                                   {{"a.flac", TakeRole::take, &findings.unit.takes[0].found},
                                    {"b.flac", TakeRole::take, &findings.unit.takes[1].found}},
                                   false))
                return 1;
    }
    if (auto row = database.query("PRAGMA wal_checkpoint(TRUNCATE)"); row.step()) {
    }
    const double bytes = static_cast<double>(std::filesystem::file_size(path));
    std::printf("%d units, %d measurements, %.0f bytes a measurement without clips\n", units, units * per_unit,
                bytes / (units * per_unit));
    const Lists many = work_of_lists(*logbook, units);
    // One unit and one batch cost what they hold, whatever else there is; the list of all costs ten times as much.
    // Steps do not depend on the machine. Processor time counts what is not SQLite's, with room for other programs in
    // its caches: work that grew by the square would need a hundred times as much.
    const bool good[] = {grows_at_most("unit show", few.show, many.show, 1.5, 5.0),
                         grows_at_most("batch show of 100 units", few.batch, many.batch, 1.5, 5.0),
                         grows_at_most("list of all units", few.all, many.all, 11.0, 40.0)};
    return good[0] && good[1] && good[2] ? 0 : 1;
}
