#include <catch2/catch.hpp>

#include <fstream>

#include "logbook/folder.h"
#include "logbook/storage/schema.h"
#include "logbook/storage/sha256.h"
#include "logbook/units/measurements.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

// A logbook as version 1 wrote it: that step's text is fixed by its hash, so that nobody changes
// what users have on their disks.
constexpr const char* hash_of_version_1 = "7064339dbfa5856e929a91d347e9e4749824b173bd51cf57e0f29fdc981c4227";

constexpr const char* rows_of_version_1 = R"(
INSERT INTO sheet VALUES ('aa', 'Heron', 'B', '[board] …');
INSERT INTO unit VALUES ('00000000-0000-4000-8000-000000000001', '7', 'aa', 'B1', '1.2', '',
    '2031-01-01T00:00:00.000Z', NULL);
INSERT INTO measurement VALUES (1, '00000000-0000-4000-8000-000000000002',
    '00000000-0000-4000-8000-000000000001', 'aa', '2031-01-02T00:00:00.000Z', 'ada', '1.2', 'laptop',
    3.0, 'first', 'quiet', 'No tone.', '{"verdict":"quiet"}');
)";

void write_version_1(const std::string& path) {
    auto database = Database::open(path, Database::Mode::create);
    REQUIRE(database);
    database->script(schema_steps()[0]);
    database->script(rows_of_version_1);
    database->script(
        ("PRAGMA user_version = 1; PRAGMA application_id = " + std::to_string(logbook_application_id)).c_str());
    REQUIRE_FALSE(database->failed());
}

std::string complaint_on(const std::string& path, Logbook::Mode mode = Logbook::Mode::create) {
    const auto logbook = Logbook::open(path, mode);
    REQUIRE_FALSE(logbook);
    return to_sentence(logbook.error());
}

}  // namespace

TEST_CASE("the schema of version 1 is what it was") {
    CHECK(sha256_of(schema_steps()[0]) == hash_of_version_1);
}

TEST_CASE("a logbook of version 1 opens, keeps what it has and takes what is new") {
    const Folder folder;
    const std::string path = folder.file("old.logbook");
    write_version_1(path);
    auto logbook = Logbook::open(path, Logbook::Mode::existing);
    REQUIRE(logbook);
    CHECK(logbook->database().number("PRAGMA user_version") == static_cast<std::int64_t>(schema_steps().size()));
    const auto unit = find_unit(*logbook, "7");
    REQUIRE(unit);
    CHECK(unit->batch == "B1");
    CHECK(unit->measurements == 1);
    const auto measurements = list_measurements(*logbook, unit->id);
    REQUIRE(measurements);
    REQUIRE(measurements->size() == 1);
    CHECK((*measurements)[0].circumstances.measured_by == "ada");
    CHECK((*measurements)[0].circumstances.label.empty());
    CHECK(logbook->database().number("SELECT count(*) FROM opinion") == 0);
    CHECK(logbook->database().number("PRAGMA foreign_keys") == 1);
    CHECK_FALSE(
        logbook->database().run("INSERT INTO opinion VALUES ('x', 'nobody', 'Heron', "
                                "'ranger.frame', 'confirmed', '', '', '', '')"));
    CHECK(logbook->database().failed());
}

TEST_CASE("each step leads from the version before to a file that SQLite finds sound") {
    const Folder folder;
    for (std::size_t from = 0; from <= schema_steps().size(); ++from) {
        const std::string path = folder.file("from" + std::to_string(from));
        {
            auto database = Database::open(path, Database::Mode::create);
            REQUIRE(database);
            for (std::size_t step = 0; step < from; ++step) database->script(schema_steps()[step]);
            if (from > 0)
                database->script(("PRAGMA user_version = " + std::to_string(from) +
                                  "; PRAGMA application_id = " + std::to_string(logbook_application_id))
                                     .c_str());
        }
        auto logbook = Logbook::open(path, Logbook::Mode::create);
        INFO("from version " << from);
        REQUIRE(logbook);
        auto row = logbook->database().query("PRAGMA integrity_check");
        REQUIRE(row.step());
        CHECK(row.text(0) == "ok");
        auto mode = logbook->database().query("PRAGMA journal_mode");
        REQUIRE(mode.step());
        CHECK(mode.text(0) == "wal");
    }
}

TEST_CASE("what is no logbook is left alone and told") {
    const Folder folder;
    std::ofstream(folder.file("text")) << "Dear diary, the board whines. " << std::string(4000, '.');
    CHECK_THAT(complaint_on(folder.file("text")), Contains("text: this file is no logbook."));
    {
        auto other = Database::open(folder.file("other.db"), Database::Mode::create);
        REQUIRE(other);
        REQUIRE(other->script("CREATE TABLE bird (name TEXT)"));
    }
    CHECK_THAT(complaint_on(folder.file("other.db")), Contains("this file is no logbook"));
    CHECK_THAT(complaint_on(folder.path.string()), Contains("this is a folder"));
    CHECK_THAT(complaint_on(folder.file("none/new")), Contains("its folder does not exist"));
    CHECK_THAT(complaint_on(folder.file("none"), Logbook::Mode::existing), Contains("there is no logbook"));
    CHECK_FALSE(std::filesystem::exists(folder.file("none")));
}

TEST_CASE("a logbook of a newer version is left alone and told") {
    const Folder folder;
    const std::string path = folder.file("future");
    { REQUIRE(Logbook::open(path, Logbook::Mode::create)); }
    {
        auto database = Database::open(path, Database::Mode::existing);
        REQUIRE(database);
        REQUIRE(database->script("PRAGMA user_version = 99"));
    }
    CHECK_THAT(complaint_on(path), Contains("of version 99") && Contains("Use a newer tattletone"));
    auto database = Database::open(path, Database::Mode::existing);
    REQUIRE(database);
    CHECK(database->number("PRAGMA user_version") == 99);
}
