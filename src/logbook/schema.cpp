#include "logbook/schema.h"

#include <string>

namespace tattletone {
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

constexpr const char* steps[] = {units_and_measurements, opinions_and_complaints, copies_made};

}  // namespace

std::span<const char* const> schema_steps() {
    return steps;
}

std::optional<Error> bring_up_to_date(Database& database) {
    const auto newest = static_cast<std::int64_t>(std::size(steps));
    const auto judge = [&](std::int64_t version) -> std::optional<Error> {
        const std::int64_t kind = database.number("PRAGMA application_id");
        if (database.failed()) return database.take_error();
        const bool empty = database.number("SELECT count(*) FROM sqlite_schema") == 0;
        if (kind != logbook_application_id && !(empty && kind == 0))
            return Error{database.path(), "this file is no logbook",
                         "Give the path of a logbook, or of a new file"};
        if (version > newest)
            return Error{database.path(),
                         "the logbook is of version " + std::to_string(version) +
                             ", and this program knows versions up to " + std::to_string(newest),
                         "Use a newer tattletone; nothing was changed"};
        return std::nullopt;
    };
    for (;;) {
        const std::int64_t seen = database.number("PRAGMA user_version");
        if (const auto error = judge(seen)) return error;
        if (seen == newest) return std::nullopt;
        Transaction transaction(database);
        // Another process may have done the step while this one waited.
        const std::int64_t version = database.number("PRAGMA user_version");
        if (version != seen) continue;
        if (version == 0)
            database.script(
                ("PRAGMA application_id = " + std::to_string(logbook_application_id)).c_str());
        database.script(steps[version]);
        database.script(("PRAGMA user_version = " + std::to_string(version + 1)).c_str());
        if (const auto error = transaction.commit()) return error;
    }
}

}  // namespace tattletone
