#include "logbook/storage/schema.h"

#include <cctype>
#include <set>
#include <string>
#include <vector>

namespace tattletone::logbook {
namespace {

// Ids are UUIDs and name a record on every bench; `number` is this file's own and short, for the
// rows that come by the hundred thousand.
constexpr const char* units_and_measurements = R"(
CREATE TABLE sheet (
    hash TEXT PRIMARY KEY, name TEXT NOT NULL, revision TEXT NOT NULL, text TEXT NOT NULL) STRICT;
CREATE TABLE clip (
    hash TEXT PRIMARY KEY, sample_rate_hz REAL NOT NULL, seconds REAL NOT NULL,
    bytes INTEGER NOT NULL) STRICT;
CREATE TABLE unit (
    id TEXT PRIMARY KEY, serial TEXT NOT NULL, sheet TEXT NOT NULL REFERENCES sheet,
    batch TEXT NOT NULL, firmware TEXT NOT NULL, note TEXT NOT NULL,
    added_at TEXT NOT NULL, retired_at TEXT) STRICT;
CREATE INDEX unit_serial ON unit (serial);
CREATE INDEX unit_batch ON unit (batch);
CREATE TABLE measurement (
    number INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, unit TEXT NOT NULL REFERENCES unit,
    sheet TEXT REFERENCES sheet, measured_at TEXT NOT NULL, measured_by TEXT NOT NULL,
    firmware TEXT NOT NULL, microphone TEXT NOT NULL, distance_cm REAL, note TEXT NOT NULL,
    verdict TEXT NOT NULL, answer TEXT NOT NULL, findings TEXT NOT NULL) STRICT;
CREATE INDEX measurement_unit ON measurement (unit, measured_at);
CREATE TABLE take (
    measurement INTEGER NOT NULL REFERENCES measurement ON DELETE CASCADE, position INTEGER NOT NULL,
    is_room INTEGER NOT NULL, path TEXT NOT NULL, state TEXT NOT NULL, spot TEXT NOT NULL,
    clip TEXT REFERENCES clip, gaps TEXT NOT NULL, floor BLOB NOT NULL,
    PRIMARY KEY (measurement, position)) STRICT, WITHOUT ROWID;
CREATE INDEX take_clip ON take (clip) WHERE clip IS NOT NULL;
CREATE TABLE tone (
    measurement INTEGER NOT NULL REFERENCES measurement ON DELETE CASCADE, id INTEGER NOT NULL,
    hz REAL NOT NULL, hz_sd REAL NOT NULL, level_dbfs REAL NOT NULL, tone_to_noise_db REAL NOT NULL,
    origin TEXT NOT NULL, rate TEXT, kind TEXT, line INTEGER, other TEXT, probability REAL,
    PRIMARY KEY (measurement, id)) STRICT, WITHOUT ROWID;
CREATE TABLE suspect (
    measurement INTEGER NOT NULL REFERENCES measurement ON DELETE CASCADE, rate TEXT NOT NULL,
    probability REAL NOT NULL, PRIMARY KEY (measurement, rate)) STRICT, WITHOUT ROWID;
)";

constexpr const char* opinions_and_complaints = R"(
ALTER TABLE measurement ADD COLUMN label TEXT NOT NULL DEFAULT '';
CREATE TABLE opinion (
    id TEXT PRIMARY KEY, unit TEXT NOT NULL REFERENCES unit, board TEXT NOT NULL, rate TEXT NOT NULL,
    said TEXT NOT NULL CHECK (said IN ('confirmed', 'rejected', 'open')),
    cause TEXT NOT NULL, fix TEXT NOT NULL, said_by TEXT NOT NULL, said_at TEXT NOT NULL) STRICT;
CREATE INDEX opinion_board ON opinion (board, rate);
CREATE INDEX opinion_unit ON opinion (unit);
CREATE TABLE complaint (
    id TEXT PRIMARY KEY, added_at TEXT NOT NULL, added_by TEXT NOT NULL, text TEXT NOT NULL,
    unit TEXT REFERENCES unit, sheet TEXT REFERENCES sheet, path TEXT NOT NULL,
    file_hash TEXT NOT NULL, clip TEXT REFERENCES clip, gaps TEXT NOT NULL, floor BLOB NOT NULL,
    usable_low_hz REAL NOT NULL, usable_high_hz REAL NOT NULL,
    kind TEXT NOT NULL, rate TEXT NOT NULL, answer TEXT NOT NULL, reply TEXT NOT NULL,
    findings TEXT NOT NULL, triage TEXT,
    outcome TEXT NOT NULL DEFAULT '', closed_at TEXT) STRICT;
CREATE INDEX complaint_clip ON complaint (clip) WHERE clip IS NOT NULL;
CREATE UNIQUE INDEX complaint_triage ON complaint (triage, file_hash) WHERE triage IS NOT NULL;
CREATE TABLE broken_clip (
    triage TEXT NOT NULL, file_hash TEXT NOT NULL, path TEXT NOT NULL, problem TEXT NOT NULL,
    PRIMARY KEY (triage, file_hash)) STRICT, WITHOUT ROWID;
CREATE TABLE removed (id TEXT PRIMARY KEY, removed_at TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE conflict (
    record TEXT NOT NULL, what TEXT NOT NULL, here TEXT NOT NULL, there TEXT NOT NULL,
    seen_at TEXT NOT NULL, PRIMARY KEY (record, what, here, there)) STRICT, WITHOUT ROWID;
)";

// The copies that were made of this logbook, each by the fingerprint of its content.
constexpr const char* copies_made = R"(
CREATE TABLE copy_made (fingerprint TEXT PRIMARY KEY, made_at TEXT NOT NULL) STRICT, WITHOUT ROWID;
)";

// A recording of the state from 60 cm, which is no take.
constexpr const char* far_recordings = R"(
ALTER TABLE take ADD COLUMN is_far INTEGER NOT NULL DEFAULT 0;
)";

constexpr const char* steps[] = {units_and_measurements, opinions_and_complaints, copies_made, far_recordings};

/// What a file of each version has, as SQLite itself keeps it: the steps are run on an empty one.
using Tables = std::set<std::vector<std::string>>;

std::string without_spaces(std::string text) {
    std::erase_if(text, [](unsigned char c) { return std::isspace(c) != 0; });
    return text;
}

// Statistics of the query planner are anybody's to make and hold nothing that is read.
Tables tables_in(Database& database) {
    Tables tables;
    for (auto row = database.query("SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema "
                                   "WHERE name NOT IN ('sqlite_stat1', 'sqlite_stat4')");
         row.step();)
        tables.insert({row.text(0), row.text(1), row.text(2), without_spaces(row.text(3))});
    return tables;
}

std::vector<Tables> tables_of_versions() {
    auto model = Database::open(":memory:", Database::Mode::create);
    if (!model) return {};
    std::vector<Tables> versions{{}};
    for (const char* step : steps) {
        model->script(step);
        versions.push_back(tables_in(*model));
    }
    return versions;
}

Error no_logbook(const Database& database) {
    return {database.path(), "this file is no logbook", "Give the path of a logbook, or of a new file"};
}

std::optional<Error> judge_version(const Database& database, std::int64_t version) {
    if (version < 0)
        return Error{database.path(),
                     "the logbook says that it is of version " + std::to_string(version) + ", and there never was one",
                     "It was changed by something else: go on with the latest backup"};
    if (version > newest_version())
        return Error{database.path(),
                     "the logbook is of version " + std::to_string(version) +
                         ", and this program knows versions up to " + std::to_string(newest_version()),
                     "Use a newer tattletone; nothing was changed"};
    return std::nullopt;
}

Result<std::int64_t> judge_in_transaction(Database& database) {
    const std::int64_t version = database.number("PRAGMA user_version");
    const std::int64_t kind = database.number("PRAGMA application_id");
    const bool empty = database.number("SELECT count(*) FROM sqlite_schema") == 0;
    auto encoding = database.query("PRAGMA encoding");
    const bool utf8 = encoding.step() && encoding.text(0) == "UTF-8";
    if (database.failed()) return database.take_error();
    if (kind != logbook_application_id && !(empty && kind == 0 && version == 0)) return no_logbook(database);
    if (const auto error = judge_version(database, version)) return *error;
    static const std::vector<Tables> expected = tables_of_versions();
    const Tables found = tables_in(database);
    if (database.failed()) return database.take_error();
    const auto place = static_cast<std::size_t>(version);
    if (!utf8 || place >= expected.size() || found != expected[place])
        return Error{database.path(), "the file has other tables than a logbook of its version has",
                     "It was changed by something else: go on with the latest backup"};
    return version;
}

}  // namespace

std::span<const char* const> schema_steps() {
    return steps;
}

std::int64_t newest_version() {
    return static_cast<std::int64_t>(std::size(steps));
}

Result<std::int64_t> judge_schema(Database& database) {
    // Version and tables of one moment, whatever another process is doing.
    if (!database.script("BEGIN")) return database.take_error();
    auto version = judge_in_transaction(database);
    database.script("COMMIT");
    if (database.failed()) return database.take_error();
    return version;
}

std::optional<Error> bring_up_to_date(Database& database) {
    for (;;) {
        const auto seen = judge_schema(database);
        if (!seen) return seen.error();
        if (*seen == newest_version()) return std::nullopt;
        Transaction transaction(database);
        // Another process may have done the step while this one waited.
        const auto version = judge_in_transaction(database);
        if (!version) return version.error();
        if (*version != *seen) continue;
        if (*version == 0)
            database.script(("PRAGMA application_id = " + std::to_string(logbook_application_id)).c_str());
        database.script(steps[*version]);
        database.script(("PRAGMA user_version = " + std::to_string(*version + 1)).c_str());
        if (const auto error = transaction.commit()) return error;
    }
}

}  // namespace tattletone::logbook
