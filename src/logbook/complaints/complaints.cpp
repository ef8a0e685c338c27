#include "logbook/complaints/complaints.h"

#include "logbook/storage/kept_floor.h"
#include "logbook/units/identity.h"
#include "match/plausible.h"

namespace tattletone::logbook {
namespace {

#define COMPLAINT_COLUMNS                                                                                   \
    "SELECT complaint.id, complaint.added_at, added_by, complaint.text, coalesce(complaint.unit, ''), "     \
    "coalesce(unit.serial, ''), coalesce(complaint.sheet, ''), coalesce(sheet.name, ''), path, file_hash, " \
    "coalesce(clip, ''), kind, rate, answer, reply, coalesce(triage, ''), outcome, "                        \
    "coalesce(closed_at, ''), usable_low_hz, usable_high_hz, findings, floor FROM complaint LEFT JOIN "     \
    "unit ON unit.id = complaint.unit LEFT JOIN sheet ON sheet.hash = complaint.sheet "

Complaint complaint_of(const Statement& row) {
    Complaint c;
    int column = 0;
    for (std::string* text :
         {&c.id, &c.added_at, &c.added_by, &c.text, &c.unit, &c.serial, &c.sheet, &c.board, &c.path, &c.file_hash,
          &c.clip, &c.kind, &c.rate, &c.answer, &c.reply, &c.triage, &c.outcome, &c.closed_at})
        *text = row.text(column++);
    c.usable_low_hz = match::plausible_hz(row.real(column++));
    c.usable_high_hz = match::plausible_hz(row.real(column++));
    c.findings_json = row.text(column++);
    c.floor = unpacked_floor(row.bytes(column));
    return c;
}

std::optional<std::string> or_null(const std::string& text) {
    return text.empty() ? std::nullopt : std::optional(text);
}

}  // namespace

Result<std::string> store_complaint(Logbook& logbook, Complaint c, const KeptSheet* sheet, bool keep_clip) {
    std::optional<ClipGuard> guard;
    std::optional<StoredClip> clip;
    if (keep_clip) {
        auto taken = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
        if (!taken) return taken.error();
        guard.emplace(std::move(*taken));
        auto placed = place_clip(logbook, c.path);
        if (!placed) return placed.error();
        clip = std::move(*placed);
    }
    Database& database = logbook.database();
    Transaction transaction(database);
    if (!c.triage.empty()) {
        auto row = database.query("SELECT id FROM complaint WHERE triage = ? AND file_hash = ?", c.triage, c.file_hash);
        if (row.step()) return row.text(0);
    }
    if (sheet != nullptr) record_sheet(database, *sheet);
    if (clip) record_clip(database, *clip);
    c.id = new_id();
    database.run(
        "INSERT INTO complaint VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, '', "
        "NULL)",
        c.id, now_utc(), c.added_by, c.text, or_null(c.unit),
        sheet != nullptr ? std::optional(sheet->hash) : std::nullopt, c.path, c.file_hash,
        clip ? std::optional(clip->hash) : std::nullopt, clip ? packed_gaps(clip->gaps) : "[]",
        Blob{packed_floor(c.floor)}, c.usable_low_hz, c.usable_high_hz, c.kind, c.rate, c.answer, c.reply,
        c.findings_json, or_null(c.triage));
    if (auto error = transaction.commit()) return *error;
    return c.id;
}

Result<std::vector<Complaint>> list_complaints(Logbook& logbook, bool closed_too) {
    Database& database = logbook.database();
    std::vector<Complaint> found;
    for (auto row =
             database.query(closed_too ? COMPLAINT_COLUMNS "ORDER BY complaint.added_at DESC"
                                       : COMPLAINT_COLUMNS "WHERE closed_at IS NULL ORDER BY complaint.added_at DESC");
         row.step();)
        found.push_back(complaint_of(row));
    if (database.failed()) return database.take_error();
    return found;
}

Result<Complaint> find_complaint(Logbook& logbook, const std::string& id) {
    Database& database = logbook.database();
    std::vector<Complaint> found;
    if (id.size() >= 4)
        for (auto row = database.query(COMPLAINT_COLUMNS "WHERE complaint.id >= ?1 AND complaint.id < ?1 || 'g'", id);
             row.step();)
            found.push_back(complaint_of(row));
    if (database.failed()) return database.take_error();
    if (found.size() == 1) return found[0];
    return Error{"complaint '" + id + "'",
                 found.empty() ? "the logbook has no such complaint" : "several complaints begin so",
                 "'tattletone complaint list --closed' shows all; give four digits of one or more"};
}

std::optional<Error> close_complaint(Logbook& logbook, const std::string& id, const std::string& outcome) {
    Database& database = logbook.database();
    Transaction transaction(database);
    database.run("UPDATE complaint SET outcome = ?, closed_at = ? WHERE id = ?", outcome, now_utc(), id);
    return transaction.commit();
}

namespace {
// The caller holds the guard for removing.
std::optional<Error> remove_traces(Logbook& logbook) {
    if (const auto removed = remove_unneeded_clips(logbook); !removed) return removed.error();
    // The write-ahead log still holds what was deleted.
    Database& database = logbook.database();
    if (auto row = database.query("PRAGMA wal_checkpoint(TRUNCATE)"); row.step()) {
    }
    return database.failed() ? std::optional(database.take_error()) : std::nullopt;
}
}  // namespace

std::optional<Error> remove_complaint(Logbook& logbook, const std::string& id) {
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::removing);
    if (!guard) return guard.error();
    Database& database = logbook.database();
    {
        Transaction transaction(database);
        database.run("INSERT OR IGNORE INTO removed VALUES (?, ?)", id, now_utc());
        database.run("DELETE FROM complaint WHERE id = ?", id);
        if (auto error = transaction.commit()) return error;
    }
    return remove_traces(logbook);
}

std::optional<Error> remove_recordings_of_removed(Logbook& logbook) {
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::removing);
    if (!guard) return guard.error();
    return remove_traces(logbook);
}

Result<SeenBefore> seen_by_triage(Logbook& logbook, const std::string& triage, const std::string& file_hash) {
    Database& database = logbook.database();
    // Earlier versions noted clips as broken for which the decoder was missing.
    auto row = database.query(
        "SELECT 0 FROM complaint WHERE triage = ?1 AND file_hash = ?2 UNION ALL SELECT 1 "
        "FROM broken_clip WHERE triage = ?1 AND file_hash = ?2 AND problem NOT LIKE "
        "'%(tattletone_decoder.so)%' ORDER BY 1",
        triage, file_hash);
    const SeenBefore seen = !row.step()           ? SeenBefore::no
                            : row.integer(0) == 0 ? SeenBefore::taken_in
                                                  : SeenBefore::broken;
    if (database.failed()) return database.take_error();
    return seen;
}

std::optional<Error> record_broken_clip(Logbook& logbook, const std::string& triage, const std::string& file_hash,
                                        const std::string& path, const std::string& problem) {
    Database& database = logbook.database();
    Transaction transaction(database);
    database.run("INSERT OR IGNORE INTO broken_clip VALUES (?, ?, ?, ?)", triage, file_hash, path, problem);
    return transaction.commit();
}

}  // namespace tattletone::logbook
