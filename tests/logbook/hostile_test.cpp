#include <catch2/catch.hpp>

#include <fstream>
#include <functional>
#include <iterator>

#include "base/text/number.h"
#include "logbook/spoil.h"
#include "logbook/storage/check.h"
#include "logbook/storage/copies.h"
#include "logbook/storage/kept_floor.h"
#include "logbook/storage/schema.h"
#include "report/html/line_pictures.h"
#include "report/html/page.h"
#include "report/html/page_picture.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

struct Spoiling {
    std::string name;
    std::function<void(const std::string& path)> spoil;
    bool opens = false;  ///< its tables are a logbook's, so that it is `logbook check` which finds it
};

Spoiling by_sql(const std::string& sql, bool opens = false) {
    return {sql, [sql](const std::string& path) { raw_sql(path, sql); }, opens};
}

OutputFile copy_at(const std::string& path) {
    return {OutputKind::logbook_copy, path};
}

void make_utf16(const std::string& path) {
    std::filesystem::remove(path);
    std::string sql = "PRAGMA encoding = 'UTF-16le'; PRAGMA application_id = " + std::to_string(logbook_application_id);
    for (const char* step : schema_steps()) sql += std::string(";") + step;
    raw_sql(path, sql + "; PRAGMA user_version = " + std::to_string(schema_steps().size()));
}

void make_noise_from(const std::string& path, std::size_t first, std::uint32_t seed) {
    std::string bytes = bytes_of(path);
    std::mt19937 chance(seed);
    for (std::size_t i = first; i < bytes.size(); ++i) bytes[i] = static_cast<char>(chance());
    write_bytes(path, bytes);
}

const std::string endless =
    "CREATE VIEW clip AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT "
    "printf('%064x', i) AS hash, 48000.0 AS sample_rate_hz, 1.0 AS seconds, 1 AS bytes FROM n";

std::vector<Spoiling> spoilings() {
    const std::string edit = "PRAGMA writable_schema = ON; ";
    return {
        by_sql("PRAGMA user_version = -1000000000"),
        by_sql("PRAGMA user_version = -1"),
        by_sql("PRAGMA user_version = 2147483647"),
        by_sql("PRAGMA user_version = 0"),
        by_sql("PRAGMA user_version = 1"),
        by_sql("PRAGMA application_id = 1"),
        by_sql("DROP TABLE tone"),
        by_sql("DROP TABLE tone; CREATE TABLE tone (x)"),
        by_sql("ALTER TABLE unit RENAME COLUMN note TO notes"),
        by_sql("DROP TABLE suspect; CREATE TABLE suspect (measurement INTEGER, rate TEXT, probability TEXT)"),
        by_sql("DROP TABLE clip; " + endless),
        by_sql("CREATE VIEW more AS SELECT * FROM unit"),
        by_sql("CREATE TRIGGER bite AFTER INSERT ON unit BEGIN DELETE FROM complaint; END"),
        by_sql("CREATE VIRTUAL TABLE words USING fts5(word)"),
        by_sql("ALTER TABLE unit ADD COLUMN twice TEXT AS (serial || serial)"),
        by_sql("CREATE INDEX odd ON unit (length(serial))"),
        by_sql(edit + "UPDATE sqlite_schema SET sql = 'CREATE TABLE tone (measurement, hz)' WHERE name = 'tone'"),
        by_sql(edit + "UPDATE sqlite_schema SET sql = 'nonsense' WHERE name = 'tone'"),
        by_sql(edit + "UPDATE sqlite_schema SET type = 'view', rootpage = 0 WHERE name = 'tone'"),
        by_sql(edit + "UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM sqlite_schema WHERE name = 'unit') "
                      "WHERE name = 'tone'",
               true),
        by_sql(edit + "UPDATE sqlite_schema SET rootpage = 100000 WHERE name = 'tone'"),
        {"another encoding", make_utf16},
        {"nothing in it", [](const std::string& path) { write_bytes(path, ""); }, true},
        {"a text", [](const std::string& path) { write_bytes(path, "Dear diary " + std::string(4000, '.')); }},
        {"cut after the first page",
         [](const std::string& path) { write_bytes(path, bytes_of(path).substr(0, 4096)); }},
        {"cut in the middle", [](const std::string& path) { write_bytes(path, bytes_of(path).substr(0, 50001)); }},
        {"noise after the magic", [](const std::string& path) { make_noise_from(path, 16, 20260); }},
        {"noise after the header", [](const std::string& path) { make_noise_from(path, 100, 20261); }},
        // From here on only what the entries say.
        by_sql("UPDATE tone SET level_dbfs = 1e308", true),
        by_sql("UPDATE tone SET level_dbfs = -1e308, hz = 9e999", true),
        by_sql("UPDATE tone SET hz = -1.0", true),
        by_sql("UPDATE tone SET line = 9223372036854775807", true),
        by_sql("UPDATE tone SET kind = 'yodel'", true),
        by_sql("UPDATE tone SET origin = 'moon'", true),
        by_sql("UPDATE suspect SET probability = 1e300", true),
        by_sql("UPDATE clip SET bytes = -1", true),
        by_sql("UPDATE clip SET sample_rate_hz = 0.0", true),
        by_sql("UPDATE take SET floor = zeroblob(7)", true),
        by_sql("UPDATE measurement SET distance_cm = -9e999", true),
        by_sql("UPDATE measurement SET measured_at = 'zzzz'", true),
        by_sql("UPDATE measurement SET findings = '[1, 2'", true),
        by_sql("UPDATE measurement SET findings = '7'", true),
        by_sql("UPDATE measurement SET findings = replace(findings, '\"harmonic\"', '\"yodel\"')", true),
        by_sql("UPDATE complaint SET findings = replace(findings, '\"board\"', '\"moon\"')", true),
        by_sql("UPDATE complaint SET findings = ''", true),
        by_sql("UPDATE sheet SET text = 'other'", true),
        by_sql("PRAGMA foreign_keys = OFF; DELETE FROM unit", true),
        by_sql("UPDATE unit SET note = printf('%.*c', 100000000, 'x')", true),
        by_sql("UPDATE complaint SET id = '../../x'", true),
        by_sql("INSERT INTO removed VALUES ('%', '2031-01-01T00:00:00.000Z')", true),
    };
}

}  // namespace

// The program's own promises: a refused merge changes nothing, and what opens is judged by the check.
TEST_CASE("a logbook that a stranger changed is refused in a sentence, and nothing is changed here") {
    const Folder folder;
    const std::string clip = whining_clip(folder), good = folder.file("good");
    REQUIRE_FALSE(fill_book(good, "8", clip).empty());
    settle_book(good);
    REQUIRE_FALSE(write_clip(clip, whine(3100.0), ClipFormat::wav_24));
    REQUIRE_FALSE(fill_book(folder.file("mine"), "7", clip).empty());
    auto mine = Logbook::open(folder.file("mine"), Logbook::Mode::existing);
    REQUIRE(mine);
    const std::string before = content_of(mine->database());
    for (const Spoiling& spoiling : spoilings()) {
        INFO(spoiling.name);
        const std::string bad = folder.file("bad");
        std::filesystem::copy_file(good, bad, std::filesystem::copy_options::overwrite_existing);
        spoiling.spoil(bad);
        const auto names = names_below(folder.path);
        const auto merged = merge(*mine, bad);
        REQUIRE_FALSE(merged);
        CHECK(merged.error().where == bad);
        CHECK_FALSE(merged.error().todo.empty());
        CHECK_THAT(merged.error().what, !Contains("SQLite"));
        CHECK(content_of(mine->database()) == before);
        CHECK(names_below(folder.path) == names);
        auto opened = Logbook::open(bad, Logbook::Mode::existing);
        CHECK(static_cast<bool>(opened) == spoiling.opens);
        if (opened && spoiling.name != "nothing in it") {
            const auto report = check_logbook(*opened, false, {});
            CHECK((!report || !report->problems.empty()));
        }
        if (!opened) CHECK_THAT(opened.error().what, !Contains("SQLite"));
    }
    const auto report = check_logbook(*mine, false, {});
    REQUIRE(report);
    CHECK(report->problems.empty());
    CHECK(report->unneeded == 0);
    CHECK(report->half_made.empty());
    REQUIRE(merge(*mine, good));
    CHECK(mine->database().number("SELECT count(*) FROM measurement") == 2);
}

TEST_CASE("page sizes and modes that SQLite allows are no reason to refuse a logbook") {
    const Folder folder;
    REQUIRE_FALSE(fill_book(folder.file("good"), "8", "").empty());
    settle_book(folder.file("good"));
    for (const char* sql : {"PRAGMA page_size = 512; VACUUM", "PRAGMA page_size = 65536; VACUUM",
                            "PRAGMA auto_vacuum = FULL; VACUUM", "PRAGMA journal_mode = WAL; ANALYZE"}) {
        INFO(sql);
        const std::string other = folder.file("other"), mine = folder.file("mine");
        for (const std::string& path : {other, mine}) std::filesystem::remove(path);
        std::filesystem::copy_file(folder.file("good"), other);
        raw_sql(other, sql);
        auto logbook = Logbook::open(mine, Logbook::Mode::create);
        REQUIRE(logbook);
        const auto merged = merge(*logbook, other);
        if (!merged) FAIL(to_sentence(merged.error()));
        CHECK(merged->measurements == 1);
        REQUIRE(Logbook::open(other, Logbook::Mode::existing));
    }
}

TEST_CASE("a recording whose name is no hash leads nowhere, and is told") {
    const Folder folder;
    const std::string clip = whining_clip(folder), other = folder.file("deep/er/other");
    std::filesystem::create_directories(folder.path / "deep/er");
    std::filesystem::create_directories(folder.path / "deep/mine");
    REQUIRE_FALSE(fill_book(other, "8", clip).empty());
    settle_book(other);
    const std::string hash = "../../x/y";
    raw_sql(other, "PRAGMA foreign_keys = OFF; UPDATE clip SET hash = '" + hash + "'; UPDATE take SET clip = '" + hash +
                       "'; UPDATE complaint SET clip = '" + hash + "'");
    auto mine = Logbook::open(folder.file("deep/mine/book"), Logbook::Mode::create);
    REQUIRE(mine);
    const auto merged = merge(*mine, other);
    REQUIRE(merged);
    CHECK(merged->measurements == 1);
    CHECK(merged->complaints == 1);
    CHECK(merged->clips == 0);
    REQUIRE(merged->problems.size() == 1);
    CHECK_THAT(merged->problems[0], Contains("1 recording") && Contains("no hash"));
    CHECK(mine->database().number("SELECT count(*) FROM clip") == 0);
    CHECK_FALSE(std::filesystem::exists(folder.path / "deep/mine/x"));
    CHECK_FALSE(std::filesystem::exists(folder.path / "deep/x"));
    CHECK_FALSE(std::filesystem::exists(folder.path / "x"));
    const auto report = check_logbook(*mine, false, {});
    REQUIRE(report);
    CHECK(report->problems.empty());

    auto theirs = Logbook::open(other, Logbook::Mode::existing);
    REQUIRE(theirs);
    REQUIRE(check_logbook(*theirs, false, {}));
    CHECK_THAT(check_logbook(*theirs, false, {})->problems.back(), Contains("a name that is no hash"));
    CHECK(clip_path(*theirs, hash).empty());
    CHECK(clip_path(*theirs, std::string(64, 'A')).empty());
    REQUIRE(back_up(*theirs, copy_at(folder.file("copy"))));
    CHECK_FALSE(std::filesystem::exists(folder.path / "x"));
}

TEST_CASE("a recording that is not what its name says is not taken in") {
    const Folder folder;
    const std::string clip = whining_clip(folder), other = folder.file("other");
    REQUIRE_FALSE(fill_book(other, "8", clip).empty());
    std::string path;
    {
        auto theirs = Logbook::open(other, Logbook::Mode::existing);
        REQUIRE(theirs);
        auto row = theirs->database().query("SELECT hash FROM clip");
        REQUIRE(row.step());
        path = clip_path(*theirs, row.text(0));
    }
    REQUIRE_FALSE(write_clip(path, whine(3200.0), ClipFormat::flac_24));
    auto mine = Logbook::open(folder.file("mine"), Logbook::Mode::create);
    REQUIRE(mine);
    const auto merged = merge(*mine, other);
    REQUIRE(merged);
    REQUIRE(merged->problems.size() == 1);
    CHECK_THAT(merged->problems[0], Contains("is missing or damaged; its record is kept"));
    CHECK_FALSE(std::filesystem::exists(clip_path(*mine, std::filesystem::path(path).stem().string())));
}

TEST_CASE("what the other bench removed is removed here by its own id, with its recording, and told") {
    const Folder folder;
    const std::string clip = whining_clip(folder);
    const std::string complaint = fill_book(folder.file("mine"), "7", "");
    REQUIRE_FALSE(complaint.empty());
    auto mine = Logbook::open(folder.file("mine"), Logbook::Mode::existing);
    auto other = Logbook::open(folder.file("other"), Logbook::Mode::create);
    REQUIRE(mine);
    REQUIRE(other);
    Complaint voice;
    voice.path = clip;
    voice.findings_json = "{}";
    const auto heard = store_complaint(*mine, voice, nullptr, true);
    REQUIRE(heard);
    REQUIRE(merge(*other, folder.file("mine")));
    REQUIRE_FALSE(remove_complaint(*other, *heard));
    // Ids of what is no complaint do nothing.
    for (const char* table : {"unit", "measurement", "opinion"}) {
        auto row = mine->database().query(("SELECT id FROM " + std::string(table)).c_str());
        REQUIRE(row.step());
        REQUIRE(other->database().run("INSERT INTO removed VALUES (?, '2031-01-01T00:00:00.000Z')", row.text(0)));
    }
    const auto merged = merge(*mine, folder.file("other"));
    REQUIRE(merged);
    REQUIRE(merged->removed.size() == 1);
    CHECK_THAT(merged->removed[0], Contains("Complaint " + heard->substr(0, 8)) && Contains("was removed there on 20"));
    CHECK(find_complaint(*mine, complaint));
    CHECK_FALSE(find_complaint(*mine, *heard));
    CHECK(mine->database().number("SELECT count(*) FROM unit") == 1);
    CHECK(mine->database().number("SELECT count(*) FROM measurement") == 1);
    CHECK(mine->database().number("SELECT count(*) FROM opinion") == 1);
    CHECK(mine->database().number("SELECT count(*) FROM clip") == 0);
    const auto report = check_logbook(*mine, false, {});
    REQUIRE(report);
    CHECK(report->problems.empty());
    CHECK(report->unneeded == 0);
    CHECK(merge(*mine, folder.file("other"))->removed.empty());
}

TEST_CASE("a query that would never end fails in a sentence, and others go on") {
    const Folder folder;
    auto logbook = Logbook::open(folder.file("book"), Logbook::Mode::create);
    REQUIRE(logbook);
    Database& database = logbook->database();
    CHECK(database.number("WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n") ==
          0);
    REQUIRE(database.failed());
    CHECK_THAT(to_sentence(database.take_error()), Contains("would never come to an end"));
    // Row by row as well.
    long long rows = 0;
    for (auto row = database.query("WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n");
         row.step();)
        ++rows;
    CHECK(rows > 100'000);
    REQUIRE(database.failed());
    (void)database.take_error();
    CHECK(database.number("SELECT count(*) FROM unit") == 0);
    CHECK_FALSE(database.failed());
}

TEST_CASE("the place of a logbook is an ordinary file") {
    const Folder folder;
    for (const std::string& path :
         {std::string(":memory:"), std::string(":memory:x"), std::string("file::memory:"), std::string(),
          std::string("file:book?mode=memory"), folder.path.string(), std::string("/dev/null")}) {
        INFO(path);
        const auto opened = Logbook::open(path, Logbook::Mode::create);
        REQUIRE_FALSE(opened);
        CHECK_FALSE(opened.error().todo.empty());
        auto mine = Logbook::open(folder.file("mine"), Logbook::Mode::create);
        REQUIRE(mine);
        CHECK_FALSE(merge(*mine, path));
        CHECK_FALSE(back_up(*mine, copy_at(path)));
    }
    CHECK(std::filesystem::is_character_file("/dev/null"));
    CHECK(Logbook::open(folder.file(":memory:"), Logbook::Mode::create));
    CHECK(std::filesystem::file_size(folder.file(":memory:")) > 0);
}

// The format: https://www.sqlite.org/fileformat2.html, "The Rollback Journal", and what SQLite 3.40 does with a
// journal that names another one: it opens that file, finds no journal that belongs to it there, and deletes it.
TEST_CASE("a journal beside a logbook cannot have another file deleted") {
    const Folder folder;
    const std::string book = folder.file("book"), victim = folder.file("thesis.txt");
    REQUIRE_FALSE(fill_book(book, "7", "").empty());
    settle_book(book);
    write_bytes(victim, "months of work");
    const auto number = [](std::uint32_t value) {
        std::string bytes;
        for (int shift = 24; shift >= 0; shift -= 8) bytes += static_cast<char>(value >> shift & 255u);
        return bytes;
    };
    const std::string magic = "\xd9\xd5\x05\xf9\x20\xa1\x63\xd7";
    const auto pages = static_cast<std::uint32_t>(std::filesystem::file_size(book) / 4096);
    std::string journal = magic + number(0) + number(1) + number(pages) + number(512) + number(4096);
    journal.resize(512, '\0');
    std::uint32_t sum = 0;
    for (const char c : victim) sum += static_cast<std::uint32_t>(static_cast<signed char>(c));
    // The lock page, which never is in a journal, marks the record of the name.
    journal += number(0x40000000 / 4096 + 1) + victim + number(static_cast<std::uint32_t>(victim.size())) +
               number(sum) + magic;
    write_bytes(book + "-journal", journal);
    std::filesystem::copy_file(book, folder.file("raw"));
    std::filesystem::copy_file(book + "-journal", folder.file("raw-journal"));
    for (const auto mode : {Logbook::Mode::create, Logbook::Mode::existing, Logbook::Mode::look_only}) {
        const auto opened = Logbook::open(book, mode);
        REQUIRE_FALSE(opened);
        CHECK_THAT(opened.error().what, Contains("would have another file deleted"));
    }
    auto mine = Logbook::open(folder.file("mine"), Logbook::Mode::create);
    REQUIRE(mine);
    CHECK_FALSE(merge(*mine, book));
    CHECK(bytes_of(victim) == "months of work");
    // So it is not for nothing: SQLite by itself does it.
    raw_sql(folder.file("raw"), "SELECT count(*) FROM sqlite_schema");
    CHECK_FALSE(std::filesystem::exists(victim));
}
