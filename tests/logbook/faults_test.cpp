#include <catch2/catch.hpp>

#include <thread>

#include "logbook/complaints/complaints.h"
#include "logbook/folder.h"
#include "logbook/storage/check.h"
#include "logbook/storage/copies.h"
#include "logbook/storage/sha256.h"
#include "logbook/units/recurrence.h"
#include "match/json/findings_json.h"
#include "report/sample_findings.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

const KeptSheet sheet{sha256_of("[board]\n"), "Heron", "C", "[board]\n"};

Logbook open_at(const std::string& path) {
    auto logbook = Logbook::open(path, Logbook::Mode::create);
    REQUIRE(logbook);
    return std::move(*logbook);
}

Unit add(Logbook& logbook, const std::string& serial) {
    Unit unit;
    unit.serial = serial;
    auto added = add_unit(logbook, unit, sheet);
    REQUIRE(added);
    return *added;
}

Result<std::string> store(Logbook& logbook, const Unit& unit, const std::string& clip) {
    const Findings findings = sample::named();
    const PrintedFindings printed{&findings, findings_json(findings), "", "named"};
    return store_measurement(logbook, unit, &sheet, printed, {},
                             {{clip, TakeRole::take, &findings.unit.takes[0].found}}, !clip.empty());
}

std::string complain(Logbook& logbook, const std::string& clip) {
    Complaint complaint;
    complaint.path = clip;
    complaint.findings_json = "{}";
    const auto id = store_complaint(logbook, complaint, nullptr, true);
    REQUIRE(id);
    return *id;
}

bool clip_is_there(const Logbook& logbook, const std::string& hash) {
    return std::filesystem::exists(clip_path(logbook, hash));
}

}  // namespace

TEST_CASE("a full file takes nothing by halves and says so") {
    const Folder folder;
    Logbook logbook = open_at(folder.file("book"));
    const Unit unit = add(logbook, "7");
    Database& database = logbook.database();
    const auto pages = database.number("PRAGMA page_count");
    database.script(("PRAGMA max_page_count = " + std::to_string(pages + 8)).c_str());
    int stored = 0;
    for (;; ++stored) {
        REQUIRE(stored < 1000);
        const auto id = store(logbook, unit, "");
        if (id) continue;
        CHECK_THAT(to_sentence(id.error()), Contains("there is no room") && Contains("nothing is lost"));
        break;
    }
    CHECK(database.number("SELECT count(*) FROM measurement") == stored);
    CHECK(database.number("SELECT count(DISTINCT measurement) FROM tone") == stored);
    database.script("PRAGMA max_page_count = 100000");
    CHECK(store(logbook, unit, ""));
}

TEST_CASE("a second writer waits, and is told where the first does not end") {
    const Folder folder;
    Logbook one = open_at(folder.file("book"));
    auto two = Database::open(folder.file("book"), Database::Mode::existing, 0.2);
    REQUIRE(two);
    {
        Transaction first(one.database());
        Transaction second(*two);
        const auto error = second.commit();
        REQUIRE(error);
        CHECK_THAT(to_sentence(*error), Contains("another program is writing to the logbook"));
        CHECK_FALSE(first.commit());
    }
    std::thread other([&] {
        Logbook mine = open_at(folder.file("book"));
        for (int i = 0; i < 40; ++i) add(mine, "A" + std::to_string(i));
    });
    for (int i = 0; i < 40; ++i) add(one, "B" + std::to_string(i));
    other.join();
    CHECK(list_units(one, {})->size() == 80);
}

TEST_CASE("a clip goes with the last record that needs it") {
    const Folder folder;
    Logbook logbook = open_at(folder.file("book"));
    const std::string clip = folder.file("voice.wav");
    REQUIRE_FALSE(write_clip(clip, whine(3000.0), ClipFormat::wav_24));
    const std::string first = complain(logbook, clip), second = complain(logbook, clip);
    const std::string hash = find_complaint(logbook, first)->clip;
    CHECK(find_complaint(logbook, second)->clip == hash);
    REQUIRE_FALSE(remove_complaint(logbook, first));
    CHECK(clip_is_there(logbook, hash));
    REQUIRE_FALSE(remove_complaint(logbook, second));
    CHECK_FALSE(clip_is_there(logbook, hash));
    CHECK(logbook.database().number("SELECT count(*) FROM clip") == 0);
}

TEST_CASE("two benches join without doubling, and what was deleted stays deleted") {
    const Folder folder;
    Logbook here = open_at(folder.file("here")), there = open_at(folder.file("there"));
    const std::string clip = folder.file("a.wav");
    REQUIRE_FALSE(write_clip(clip, whine(3000.0), ClipFormat::wav_24));
    REQUIRE(store(here, add(here, "7"), clip));
    REQUIRE(store(there, add(there, "8"), clip));
    REQUIRE(store(there, add(there, "7"), ""));
    const std::string complaint = complain(there, clip);
    const auto merged = merge(here, folder.file("there"));
    REQUIRE(merged);
    CHECK(merged->units == 2);
    CHECK(merged->measurements == 2);
    CHECK(merged->complaints == 1);
    CHECK(merged->clips == 0);
    REQUIRE(merged->conflicts.size() == 1);
    CHECK_THAT(merged->conflicts[0], Contains("unit 7, two units with this serial number"));
    const auto again = merge(here, folder.file("there"));
    REQUIRE(again);
    CHECK(again->units + again->measurements + again->opinions + again->complaints == 0);
    CHECK(here.database().number("SELECT count(*) FROM tone") == 3 * 4);
    CHECK(here.database().number("SELECT count(*) FROM suspect") == 3 * 3);
    REQUIRE_FALSE(remove_complaint(here, complaint));
    REQUIRE(merge(here, folder.file("there")));
    CHECK(here.database().number("SELECT count(*) FROM complaint") == 0);
    CHECK_FALSE(find_unit(here, "7"));
    const auto report = check_logbook(here, false, {});
    REQUIRE(report);
    CHECK(report->problems.empty());
    CHECK(report->unneeded == 0);
}

TEST_CASE("a backup is whole, and check tells a changed and a missing recording") {
    const Folder folder;
    Logbook logbook = open_at(folder.file("book"));
    const std::string clip = folder.file("a.wav");
    REQUIRE_FALSE(write_clip(clip, whine(3000.0), ClipFormat::wav_24));
    REQUIRE(store(logbook, add(logbook, "7"), clip));
    const auto problems = back_up(logbook, OutputFile{OutputKind::logbook_copy, folder.file("copy")});
    REQUIRE(problems);
    CHECK(problems->empty());
    Logbook copy = open_at(folder.file("copy"));
    CHECK(check_logbook(copy, false, {})->problems.empty());
    auto row = copy.database().query("SELECT hash FROM clip");
    REQUIRE(row.step());
    const std::string path = clip_path(copy, row.text(0));
    REQUIRE_FALSE(write_clip(path, whine(3100.0), ClipFormat::flac_24));
    REQUIRE(check_logbook(copy, false, {})->problems.size() == 1);
    CHECK_THAT(check_logbook(copy, false, {})->problems[0], Contains("not the one that was stored"));
    std::filesystem::remove(path);
    CHECK_THAT(check_logbook(copy, true, {})->problems[0], Contains("is missing"));
    CHECK(copy.database().number("SELECT count(*) FROM measurement") == 1);
}

// Wilson's intervals of check-values.md 9.1: 5 of 5 is .566 to 1, and 1 of 10 is .018 to .404.
TEST_CASE("tones recur by relation and by frequency") {
    std::vector<HeardTone> tones;
    for (std::size_t unit = 0; unit < 10; ++unit) {
        tones.push_back({unit, 9600.0 + 0.1 * static_cast<double>(unit), 0.01,
                         unit == 3 ? -40.0 : -60.0 - 0.1 * static_cast<double>(unit), "ranger.frame", "harmonic", "",
                         1});
        if (unit == 6) tones.push_back({unit, 5000.0, 0.01, -70.0, "", "", "", 0});
        if (unit == 7) tones.push_back({unit, 5100.0, 0.01, -70.0, "", "", "", 0});
    }
    const auto found = recurring_tones(tones, 10);
    REQUIRE(found.size() == 3);
    CHECK(found[0].units.size() == 10);
    CHECK(found[0].recurs == Recurs::in_design);
    CHECK(found[0].stand_out == std::vector<std::size_t>{3});
    CHECK(found[1].recurs == Recurs::in_assembly);
    CHECK(found[1].share.low == Approx(0.01788).margin(5e-6));
    CHECK(found[1].share.high == Approx(0.40415).margin(5e-6));
}

TEST_CASE("in the design: nine in ten, one frequency: what two clocks of 200 ppm allow") {
    const auto in_of_20 = [](std::size_t units) {
        std::vector<HeardTone> tones;
        for (std::size_t unit = 0; unit < units; ++unit)
            tones.push_back({unit, 9600.0, 0.01, -60.0, "ranger.frame", "harmonic", "", 1});
        return recurring_tones(tones, 20)[0].recurs;
    };
    CHECK(in_of_20(18) == Recurs::in_design);
    CHECK(in_of_20(17) == Recurs::between);  // though Wilson's interval, .640 to .948, lies above one half
    CHECK(in_of_20(4) == Recurs::in_assembly);
    const auto lines_at = [](double hz, double other_hz) {
        return recurring_tones({{0, hz, 0.01, -60.0, "", "", "", 0}, {1, other_hz, 0.01, -60.0, "", "", "", 0}}, 2)
            .size();
    };
    CHECK(lines_at(10000.0, 10001.9) == 1);
    CHECK(lines_at(10000.0, 10002.2) == 2);
}

TEST_CASE("what was confirmed shifts prior odds within a factor of four") {
    std::vector<Opinion> opinions;
    const auto say = [&](const std::string& rate, const std::string& said, int count) {
        for (int i = 0; i < count; ++i) {
            Opinion opinion;
            opinion.rate = rate;
            opinion.said = said;
            opinions.push_back(opinion);
        }
    };
    say("a.a", "confirmed", 1);
    say("b.b", "confirmed", 50);
    say("c.c", "rejected", 50);
    say("d.d", "open", 5);
    const auto factors = prior_odds_factors(opinions);
    CHECK(factors.at("a.a") == 2.0);
    CHECK(factors.at("b.b") == 4.0);
    CHECK(factors.at("c.c") == 0.25);
    CHECK(factors.count("d.d") == 0);
}
