#include <catch2/catch.hpp>

#include <fstream>

#include "logbook/folder.h"
#include "logbook/storage/kept_findings.h"
#include "logbook/storage/sha256.h"
#include "logbook/units/measurements.h"
#include "match/json/findings_json.h"
#include "report/html/page_picture.h"
#include "report/sample_findings.h"
#include "report/words.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

const std::string sheet_text = "[board]\nname = \"Heron\"\n";
const KeptSheet sheet{sha256_of(sheet_text), "Heron", "C", sheet_text};

Unit wanted(const std::string& serial) {
    Unit unit;
    unit.serial = serial;
    unit.batch = "B1";
    unit.firmware = "1.2";
    return unit;
}

Logbook new_logbook(const Folder& folder) {
    auto logbook = Logbook::open(folder.file("bench.logbook"), Logbook::Mode::create);
    REQUIRE(logbook);
    return std::move(*logbook);
}

std::size_t clips_of(const Logbook& logbook) {
    std::size_t count = 0;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(logbook.clips_folder()))
        count += entry.path().extension() == ".flac" ? 1U : 0U;
    return count;
}

}  // namespace

TEST_CASE("units are added, found, listed by number, renamed and retired") {
    const Folder folder;
    Logbook logbook = new_logbook(folder);
    for (const char* serial : {"10", "9", "A2", "A10", "007"}) REQUIRE(add_unit(logbook, wanted(serial), sheet));
    const auto again = add_unit(logbook, wanted("9"), sheet);
    REQUIRE_FALSE(again);
    CHECK_THAT(to_sentence(again.error()), Contains("unit '9': there is a unit with this serial number"));
    CHECK_FALSE(add_unit(logbook, wanted(""), sheet));

    const auto list = list_units(logbook, {});
    REQUIRE(list);
    std::string order;
    for (const Unit& unit : *list) order += unit.serial + " ";
    CHECK(order == "007 9 10 A2 A10 ");

    const auto nine = find_unit(logbook, "9");
    REQUIRE(nine);
    CHECK(nine->board == "Heron");
    CHECK(nine->revision == "C");
    CHECK(find_unit(logbook, nine->id.substr(0, 8)));
    REQUIRE_FALSE(rename_unit(logbook, nine->id, "9-reworked"));
    CHECK(rename_unit(logbook, nine->id, "10"));
    CHECK_FALSE(find_unit(logbook, "9"));
    REQUIRE_FALSE(retire_unit(logbook, nine->id, true));
    CHECK(list_units(logbook, {})->size() == 4);
    CHECK(list_units(logbook, UnitFilter{"", "", "", true})->size() == 5);
    CHECK(list_units(logbook, UnitFilter{"B2", "", "", false})->empty());
    CHECK(logbook.database().number("SELECT count(*) FROM sheet") == 1);
}

TEST_CASE("a measurement comes back as it was printed") {
    const Folder folder;
    Logbook logbook = new_logbook(folder);
    const auto unit = add_unit(logbook, wanted("7"), sheet);
    REQUIRE(unit);
    const std::string clip = folder.file("take.wav");
    REQUIRE_FALSE(write_clip(clip, whine(3000.0), ClipFormat::wav_float));
    Findings findings = sample::named();
    findings.unit.tones[2].tone.faint = findings.unit.tones[3].tone.faint = true;
    findings.explained_by[4][0].probability = 0.2;
    const PrintedFindings printed{&findings, findings_json(findings), answer_sentence(findings),
                                  verdict_word(findings.verdict)};
    std::vector<TakeToStore> takes;
    for (const Take& take : findings.unit.takes) takes.push_back({clip, TakeRole::take, &take.found});
    REQUIRE(store_measurement(logbook, *unit, &sheet, printed, {"ada", "1.3", "laptop", "lid open", "before", 3.0},
                              takes, true));
    const auto list = list_measurements(logbook, unit->id);
    REQUIRE(list);
    REQUIRE(list->size() == 1);
    const auto stored = find_measurement(logbook, (*list)[0].number);
    REQUIRE(stored);
    CHECK(stored->findings_json == printed.json);
    CHECK(stored->answer == printed.answer);
    CHECK(stored->circumstances.microphone == "laptop");
    CHECK(stored->circumstances.distance_cm == Approx(3.0));
    REQUIRE(stored->takes.size() == findings.unit.takes.size());
    CHECK(stored->takes[0].state == findings.unit.takes[0].state);
    CHECK(clips_of(logbook) == 1);

    std::vector<std::vector<FloorPoint>> floors;
    for (const auto& take : stored->takes) floors.push_back(take.floor);
    const auto read = findings_of(logbook, stored->findings_json, floors);
    REQUIRE(read);
    const Findings& again = *read;
    CHECK(findings_json(again) == printed.json);
    // A faint line that is more likely noise is in the answer, and no tone that could recur in a batch.
    CHECK(logbook.database().number("SELECT count(*) FROM tone") == 3);
    CHECK(logbook.database().number("SELECT count(*) FROM tone WHERE id = 4") == 0);
    REQUIRE(again.unit.takes[0].found.floor.size() == findings.unit.takes[0].found.floor.size());
    for (std::size_t i = 0; i < again.unit.takes[0].found.floor.size(); ++i) {
        const FloorPoint &a = again.unit.takes[0].found.floor[i], &b = findings.unit.takes[0].found.floor[i];
        CHECK(a.hz == Approx(b.hz).epsilon(1e-6));
        CHECK(a.noise_dbfs_per_hz == Approx(b.noise_dbfs_per_hz).margin(0.006));
        CHECK(a.steady_above_dbfs == Approx(b.steady_above_dbfs).margin(0.006));
    }
}

TEST_CASE("a recording is kept once, by what it sounds, and comes back exactly") {
    const Folder folder;
    Logbook logbook = new_logbook(folder);
    const Recording sound = whine(3000.0);
    REQUIRE_FALSE(write_clip(folder.file("a.wav"), sound, ClipFormat::wav_24));
    REQUIRE_FALSE(write_clip(folder.file("b.flac"), sound, ClipFormat::flac_24));
    REQUIRE_FALSE(write_clip(folder.file("c.wav"), whine(3001.0), ClipFormat::wav_24));
    {
        auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
        REQUIRE(guard);
        const auto a = place_clip(logbook, folder.file("a.wav"));
        const auto b = place_clip(logbook, folder.file("b.flac"));
        const auto c = place_clip(logbook, folder.file("c.wav"));
        REQUIRE(a);
        REQUIRE(b);
        REQUIRE(c);
        CHECK(a->hash == b->hash);
        CHECK(a->hash != c->hash);
        CHECK(clips_of(logbook) == 2);
        const auto kept = read_clip(clip_path(logbook, a->hash));
        const auto source = read_clip(folder.file("a.wav"));
        REQUIRE(kept);
        REQUIRE(source);
        CHECK(kept->samples == source->samples);
        record_clip(logbook.database(), *a);
        record_clip(logbook.database(), *c);
    }
    // No take and no complaint needs them.
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::removing);
    REQUIRE(guard);
    const auto removed = remove_unneeded_clips(logbook);
    REQUIRE(removed);
    CHECK(*removed == 2);
    CHECK(clips_of(logbook) == 0);
}

TEST_CASE("a clip that cannot be read stores nothing") {
    const Folder folder;
    Logbook logbook = new_logbook(folder);
    const auto unit = add_unit(logbook, wanted("7"), sheet);
    REQUIRE(unit);
    std::ofstream(folder.file("broken.wav")) << "RIFF";
    const Findings findings = sample::named();
    const PrintedFindings printed{&findings, findings_json(findings), "", "named"};
    const auto stored =
        store_measurement(logbook, *unit, &sheet, printed, {},
                          {{folder.file("broken.wav"), TakeRole::take, &findings.unit.takes[0].found}}, true);
    REQUIRE_FALSE(stored);
    CHECK_THAT(to_sentence(stored.error()), Contains("broken.wav"));
    CHECK(logbook.database().number("SELECT count(*) FROM measurement") == 0);
    CHECK(clips_of(logbook) == 0);
}
