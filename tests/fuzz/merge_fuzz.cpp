#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

#include "edited_book.h"
#include "logbook/spoil.h"
#include "logbook/storage/check.h"
#include "logbook/storage/copies.h"
#include "logbook/storage/kept_findings.h"
#include "logbook/units/recurrence.h"
#include "support/names.h"

using namespace tattletone;

long merges_taken = 0;  // for the driver: how many were not refused

namespace {

namespace fs = std::filesystem;

/// In memory where the system has such a folder, since every input writes a few files.
struct Place {
    fs::path folder;
    std::string mine, other, mine_bytes, other_bytes, before;
    Place() {
        const fs::path root = fs::is_directory("/dev/shm") ? fs::path("/dev/shm") : fs::temp_directory_path();
        folder = root / ("tattletone merge " + std::to_string(std::random_device{}()));
        fs::create_directories(folder / "a/b");
        mine = (folder / "a/b/mine").string();
        other = (folder / "a/other").string();
        other_bytes = real_book(other);
        mine_bytes = real_book(mine);
        if (mine_bytes.empty() || other_bytes.empty()) std::abort();
        auto logbook = Logbook::open(mine, Logbook::Mode::existing);
        if (!logbook) std::abort();
        before = content_of(logbook->database());
    }
    ~Place() {
        std::error_code ignored;
        fs::remove_all(folder, ignored);
    }
};

void write(const std::string& path, const std::string& bytes) {
    for (const char* ending : {"", "-wal", "-shm", "-journal"}) fs::remove(path + ending);
    std::ofstream(path, std::ios::binary) << bytes;
}

void demand(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "merge_fuzz: this does not hold: %s\n", what);
    std::abort();
}

void check_mine(Logbook& logbook) {
    const auto report = check_logbook(logbook, false, {});
    demand(static_cast<bool>(report), "a check can be made");
    for (const std::string& problem : report->problems)
        demand(problem.find("is missing; copy it there") != std::string::npos, problem.c_str());
    demand(report->unneeded == 0 && report->half_made.empty(), "nothing is left behind");
}

// As everything that reads a logbook does.
void look_through(Logbook& logbook) {
    if (const auto units = list_units(logbook, {}))
        for (const Unit& unit : *units)
            if (const auto measurements = list_measurements(logbook, unit.id))
                for (const Measurement& measurement : *measurements)
                    if (const auto whole = find_measurement(logbook, measurement.number)) {
                        (void)findings_of(logbook, whole->findings_json, {});
                        (void)level_history(logbook, unit.id, 440.0, 5.0);
                    }
    (void)list_complaints(logbook, true);
    (void)view_batch(logbook, {});
    (void)check_logbook(logbook, true, {});
}

}  // namespace

// Another bench's logbook, whatever it is: taken in so that a check of the own one finds nothing (but recordings
// that the other lacks), and once only; or refused in a sentence with nothing changed here. The input is the
// file's bytes where it begins with a zero byte, else edits of a real one (edited_book.h).
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const Place place;
    if (size == 0) return 0;
    const std::string raw(reinterpret_cast<const char*>(data + 1), size - 1);
    write(place.other, data[0] == 0 ? raw : edited(place.other_bytes, {data + 1, size - 1}));
    write(place.mine, place.mine_bytes);
    std::error_code ignored;
    {
        auto mine = Logbook::open(place.mine, Logbook::Mode::existing);
        demand(static_cast<bool>(mine), "the own logbook opens");
        const auto names = names_below(place.folder);
        const auto merged = merge(*mine, place.other);
        if (merged) {
            ++merges_taken;
            const auto again = merge(*mine, place.other);
            demand(
                again && again->units + again->measurements + again->opinions + again->complaints + again->clips == 0,
                "merging again changes nothing");
        } else {
            demand(merged.error().where == place.other, merged.error().where.c_str());
            demand(!merged.error().what.empty() && !merged.error().todo.empty(), "an error says what to do");
            demand(content_of(mine->database()) == place.before, "a refused merge changes no entry");
            demand(names_below(place.folder) == names, "a refused merge changes no file");
        }
        check_mine(*mine);
    }
    if (auto theirs = Logbook::open(place.other, Logbook::Mode::existing)) look_through(*theirs);
    return 0;
}
