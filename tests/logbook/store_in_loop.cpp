// For crash_test.py: stores measurements in a loop and tells each that was stored, until it is killed.
// `store_in_loop LOGBOOK SERIAL CLIP…` stores; `store_in_loop --verify LOGBOOK` prints one line a
// measurement that is whole and fails with a sentence on one that is not.

#include <cstdio>
#include <filesystem>
#include <string>

#include "logbook/storage/sha256.h"
#include "logbook/units/measurements.h"
#include "match/json/findings_json.h"
#include "report/sample_findings.h"
#include "support/names.h"

using namespace tattletone;

namespace {

int fail(const std::string& text) {
    std::printf("WRONG %s\n", text.c_str());
    return 1;
}

int verify(const std::string& path) {
    auto logbook = Logbook::open(path, Logbook::Mode::existing);
    if (!logbook) return fail(to_sentence(logbook.error()));
    Database& database = logbook->database();
    auto sound = database.query("PRAGMA integrity_check");
    if (!sound.step() || sound.text(0) != "ok") return fail("the file is damaged");
    const Findings findings = sample::named();
    for (auto row = database.query(
             "SELECT id, (SELECT count(*) FROM take WHERE measurement = number), (SELECT count(*) FROM tone "
             "WHERE measurement = number), (SELECT count(*) FROM suspect WHERE measurement = number) "
             "FROM measurement");
         row.step();) {
        if (row.integer(1) != 1 || row.integer(2) != static_cast<int>(findings.unit.tones.size()) ||
            row.integer(3) != static_cast<int>(findings.suspects.size()))
            return fail("measurement " + row.text(0) + " is not whole");
        std::printf("%s\n", row.text(0).c_str());
    }
    for (auto row = database.query("SELECT hash FROM clip"); row.step();) {
        const auto hash = hash_of_sound(clip_path(*logbook, row.text(0)));
        if (!hash || *hash != row.text(0)) return fail("clip " + row.text(0) + " is missing or changed");
    }
    return database.failed() ? fail(to_sentence(database.take_error())) : 0;
}

}  // namespace

int main(int count, char** words) {
    if (count < 3) return 2;
    if (std::string(words[1]) == "--verify") return verify(words[2]);
    auto logbook = Logbook::open(words[1], Logbook::Mode::create);
    if (!logbook) return fail(to_sentence(logbook.error()));
    auto unit = find_unit(*logbook, words[2]);
    const KeptSheet sheet{sha256_of("[board]\n"), "Heron", "C", "[board]\n"};
    if (!unit) {
        Unit wanted;
        wanted.serial = words[2];
        unit = add_unit(*logbook, wanted, sheet);
        if (!unit) return fail(to_sentence(unit.error()));
    }
    const Findings findings = sample::named();
    const PrintedFindings printed{&findings, findings_json(findings), "", "named"};
    for (int i = 3; i < count; ++i) {
        const auto id = store_measurement(*logbook, *unit, &sheet, printed, {},
                                          {{words[i], TakeRole::take, &findings.unit.takes[0].found}}, true);
        if (!id) return fail(to_sentence(id.error()));
        std::printf("%s\n", id->c_str());
        std::fflush(stdout);
    }
    return 0;
}
