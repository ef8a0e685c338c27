#include "logbook/storage/copies.h"

#include <sqlite3.h>

#include <filesystem>

#include "base/files/paths.h"
#include "logbook/complaints/complaints.h"
#include "logbook/storage/clip_store.h"
#include "logbook/storage/older_copy.h"
#include "logbook/storage/passing_files.h"
#include "logbook/storage/record_check.h"
#include "logbook/storage/schema.h"
#include "logbook/units/identity.h"

namespace tattletone::logbook {
namespace {

namespace fs = std::filesystem;

std::optional<Error> copy_database(Database& from, const std::string& to) {
    auto target = Database::open(to, Database::Mode::create);
    if (!target) return target.error();
    sqlite3_backup* copy = sqlite3_backup_init(target->handle(), "main", from.handle(), "main");
    const int code = copy == nullptr ? SQLITE_CANTOPEN : sqlite3_backup_step(copy, -1);
    sqlite3_backup_finish(copy);
    if (code == SQLITE_DONE) {
        // A copy that is renamed must be one file.
        target->script("PRAGMA journal_mode = DELETE");
        if (target->failed()) return target->take_error();
        return std::nullopt;
    }
    return Error{to, "the copy could not be written", "Make room there, check that you may write, and do it again"};
}

bool copy_clip(const std::string& from, const std::string& to, const std::string& hash) {
    std::error_code problem;
    if (from.empty() || to.empty()) return false;
    if (fs::exists(base::path_of(to), problem)) return true;
    const fs::path folder = base::path_of(to).parent_path();
    fs::create_directories(folder, problem);
    const std::string beside_path = incoming_clip_path(base::utf8_of(folder.parent_path()));
    const fs::path beside = base::path_of(beside_path);
    bool good = fs::copy_file(base::path_of(from), beside, problem) && !problem;
    if (good) {
        const auto found = hash_of_sound(beside_path);
        good = found && *found == hash && flush_to_disk(beside_path);
    }
    if (good) fs::rename(beside, base::path_of(to), problem);
    if (good && !problem) return flush_to_disk(base::utf8_of(folder));
    fs::remove(beside, problem);
    return false;
}

Result<std::vector<std::string>> clips_in(Database& database) {
    std::vector<std::string> hashes;
    for (auto row = database.query("SELECT hash FROM clip"); row.step();) hashes.push_back(row.text(0));
    if (database.failed()) return database.take_error();
    return hashes;
}

// Conflicts go in before the records, while what is new can be told from what is here.
constexpr const char* find_conflicts = R"(
INSERT OR IGNORE INTO conflict
SELECT unit.id, 'unit ' || unit.serial || ', serial', unit.serial, it.serial, ?1
    FROM unit JOIN there.unit AS it USING (id) WHERE unit.serial <> it.serial UNION ALL
SELECT unit.id, 'unit ' || unit.serial || ', batch', unit.batch, it.batch, ?1
    FROM unit JOIN there.unit AS it USING (id) WHERE unit.batch <> it.batch UNION ALL
SELECT unit.id, 'unit ' || unit.serial || ', firmware', unit.firmware, it.firmware, ?1
    FROM unit JOIN there.unit AS it USING (id) WHERE unit.firmware <> it.firmware UNION ALL
SELECT unit.id, 'unit ' || unit.serial || ', note', unit.note, it.note, ?1
    FROM unit JOIN there.unit AS it USING (id) WHERE unit.note <> it.note UNION ALL
SELECT unit.id, 'unit ' || unit.serial || ', two units with this serial number', unit.id, it.id, ?1
    FROM unit JOIN there.unit AS it ON it.serial = unit.serial AND it.id <> unit.id UNION ALL
SELECT complaint.id, 'complaint ' || substr(complaint.id, 1, 8) || ', outcome', complaint.outcome,
    it.outcome, ?1 FROM complaint JOIN there.complaint AS it USING (id)
    WHERE complaint.closed_at IS NOT NULL AND it.closed_at IS NOT NULL
    AND complaint.outcome <> it.outcome
)";

constexpr const char* copies[] = {
    "INSERT OR IGNORE INTO removed SELECT * FROM there.removed",
    "DELETE FROM complaint WHERE id IN (SELECT id FROM removed)",
    "INSERT OR IGNORE INTO sheet SELECT * FROM there.sheet",
    "CREATE TEMP TABLE new_clips AS SELECT hash FROM there.clip WHERE hash NOT IN (SELECT hash FROM main.clip)",
    "INSERT OR IGNORE INTO clip SELECT * FROM there.clip",
    "UPDATE unit SET retired_at = it.retired_at FROM there.unit AS it "
    "WHERE it.id = unit.id AND unit.retired_at IS NULL AND it.retired_at IS NOT NULL",
    "UPDATE complaint SET outcome = it.outcome, closed_at = it.closed_at FROM there.complaint AS it "
    "WHERE it.id = complaint.id AND complaint.closed_at IS NULL AND it.closed_at IS NOT NULL",
};

// Recordings come with the records that need them, and with no others.
constexpr const char* drop_unneeded_clips =
    "DELETE FROM main.clip WHERE hash IN (SELECT hash FROM new_clips) AND "
    "NOT EXISTS (SELECT 1 FROM main.take WHERE take.clip = clip.hash) AND "
    "NOT EXISTS (SELECT 1 FROM main.complaint WHERE complaint.clip = clip.hash)";

constexpr const char* details[] = {
    "INSERT OR IGNORE INTO take SELECT here.number, position, is_room, path, state, spot, clip, gaps, "
    "floor, is_far FROM there.take AS it JOIN there.measurement AS theirs ON theirs.number = it.measurement "
    "JOIN new_ones USING (id) JOIN main.measurement AS here USING (id)",
    "INSERT OR IGNORE INTO tone SELECT here.number, it.id, hz, hz_sd, level_dbfs, tone_to_noise_db, "
    "origin, rate, kind, line, other, probability FROM there.tone AS it JOIN there.measurement AS "
    "theirs ON theirs.number = it.measurement JOIN new_ones ON new_ones.id = theirs.id JOIN "
    "main.measurement AS here ON here.id = theirs.id",
    "INSERT OR IGNORE INTO suspect SELECT here.number, rate, it.probability FROM there.suspect AS it "
    "JOIN there.measurement AS theirs ON theirs.number = it.measurement JOIN new_ones USING (id) JOIN "
    "main.measurement AS here USING (id)",
};

constexpr const char* measurement_columns =
    "id, unit, sheet, measured_at, measured_by, firmware, microphone, distance_cm, note, verdict, "
    "answer, findings, label";

std::vector<std::string> removals(Database& database) {
    std::vector<std::string> sentences;
    for (auto row = database.query("SELECT substr(complaint.id, 1, 8), substr(added_at, 1, 10), "
                                   "substr(it.removed_at, 1, 10) FROM complaint JOIN there.removed AS it "
                                   "USING (id) ORDER BY added_at, complaint.id");
         row.step();)
        sentences.push_back("Complaint " + row.text(0) + ", which came in " + row.text(1) + ", was removed there on " +
                            row.text(2) + ".");
    return sentences;
}

enum class Attempt { trial, real };

/// Everything in one transaction, which a trial rolls back: it shows beforehand that nothing contradicts,
/// and which recordings will be needed.
std::optional<Error> copy_records(Database& database, Attempt attempt, MergeReport& report,
                                  std::vector<std::string>& wanted_clips) {
    Transaction transaction(database);
    database.run(find_conflicts, now_utc());
    report.removed = removals(database);
    const auto rows_of = [&](const char* sql) {
        database.run(sql);
        return database.changes();
    };
    for (const char* sql : copies) database.run(sql);
    report.units = rows_of("INSERT OR IGNORE INTO unit SELECT * FROM there.unit");
    database.run(
        "CREATE TEMP TABLE new_ones AS SELECT id FROM there.measurement WHERE id NOT IN "
        "(SELECT id FROM main.measurement)");
    const std::string columns = measurement_columns;
    database.run(("INSERT INTO main.measurement (" + columns + ") SELECT " + columns +
                  " FROM there.measurement JOIN new_ones USING (id)")
                     .c_str());
    report.measurements = database.number("SELECT count(*) FROM new_ones");
    for (const char* sql : details) database.run(sql);
    report.opinions = rows_of("INSERT OR IGNORE INTO opinion SELECT * FROM there.opinion");
    report.complaints = rows_of(
        "INSERT OR IGNORE INTO complaint SELECT * FROM there.complaint "
        "WHERE id NOT IN (SELECT id FROM removed)");
    database.run(drop_unneeded_clips);
    report.clips = database.number("SELECT count(*) FROM new_clips JOIN main.clip USING (hash)");
    for (auto row = database.query("SELECT hash FROM main.clip JOIN there.clip USING (hash)"); row.step();)
        wanted_clips.push_back(row.text(0));
    for (auto row = database.query("SELECT what, here, there FROM conflict ORDER BY seen_at, what"); row.step();)
        report.conflicts.push_back(row.text(0) + ": here '" + row.text(1) + "', there '" + row.text(2) + "'.");
    if (attempt == Attempt::trial) return database.failed() ? std::optional(database.take_error()) : std::nullopt;
    database.script("DROP TABLE new_ones; DROP TABLE new_clips");
    return transaction.commit();
}

/// The bytes of the file, where SQLite cannot read it in its place: it wants to put a file beside one
/// that was in use, which a read-only medium does not let it.
bool copy_bytes(const std::string& from, const std::string& to) {
    std::error_code problem;
    fs::copy_file(base::path_of(from), base::path_of(to), problem);
    if (!problem && fs::exists(base::path_of(from + "-wal"), problem))
        fs::copy_file(base::path_of(from + "-wal"), base::path_of(to + "-wal"), problem);
    return !problem;
}

/// A copy of another bench's file at `to`, of this version and with nothing in it that a check would find;
/// the other file stays as it is. Returns sentences about what was left out.
Result<std::vector<std::string>> judged_copy(const std::string& other_path, const std::string& to) {
    std::error_code problem;
    if (const auto error = judge_place(other_path)) return *error;
    const auto size = fs::file_size(base::path_of(other_path), problem);
    if (problem) return Error{other_path, "there is no logbook", "Give the path of the other bench's logbook"};
    if (size == 0) return Error{other_path, "this file is no logbook", "Give the path of a logbook"};
    {
        auto other = Database::open(other_path, Database::Mode::read_only);
        const auto judged = other ? judge_schema(*other) : Result<std::int64_t>(other.error());
        if (!judged) {
            const PassingFile looked_at{to + "-bytes"};
            const bool in_use = fs::exists(base::path_of(other_path + "-journal"), problem);
            if (in_use || !copy_bytes(other_path, looked_at.path)) return judged.error();
            auto copy = Database::open(looked_at.path, Database::Mode::existing);
            if (!copy || !judge_schema(*copy)) return judged.error();
            if (auto error = copy_database(*copy, to)) return *error;
        } else if (auto error = copy_database(*other, to)) {
            return *error;
        }
    }
    auto copy = Logbook::open(to, Logbook::Mode::existing);
    if (!copy) return Error{other_path, copy.error().what, copy.error().todo};
    Database& database = copy->database();
    std::vector<std::string> told;
    if (const auto nameless = clips_without_hash(database); nameless > 0)
        told.push_back(
            std::to_string(nameless) +
            (nameless == 1 ? " recording of the other logbook has" : " recordings of the other logbook have") +
            " a name that is no hash and cannot be copied; what belongs to it is kept without.");
    Transaction transaction(database);
    drop_clips_without_hash(database);
    if (auto error = transaction.commit()) return Error{other_path, error->what, error->todo};
    const auto problems = problems_of_records(database);
    if (database.failed()) {
        const Error error = database.take_error();
        return Error{other_path, error.what, error.todo};
    }
    if (!problems.empty())
        return Error{
            other_path,
            "nothing of it was taken in, since a check of it finds: " + problems[0].substr(0, problems[0].size() - 1),
            "'tattletone logbook check' tells all of it; mend it there, or ask for another copy"};
    if (auto row = database.query("PRAGMA journal_mode = DELETE"); row.step()) {
    }
    return told;
}

}  // namespace

Result<std::vector<std::string>> back_up(Logbook& logbook, base::OutputFile place) {
    const std::string& path = place.path;
    if (auto error = judge_place(path)) return *error;
    if (base::same_file(path, logbook.path()))
        return Error{path, "this is the logbook itself", "Give another path for the copy"};
    place.kind = base::OutputKind::logbook_copy;
    place.older_copy = [&](const std::string& standing, bool overwrite) {
        return judge_older_copy(logbook, standing, overwrite);
    };
    if (auto error = judge_clips_folder(logbook, path)) return *error;
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
    if (!guard) return guard.error();
    // The copy's own guard too: somebody may be tidying up there, and what an earlier one left goes.
    if (auto error = base::judge(place)) return *error;
    auto guard_there = ClipGuard::take(path, ClipGuard::Purpose::storing);
    if (!guard_there) return guard_there.error();
    auto beside = base::FileInMaking::begin(place);
    if (!beside) return beside.error();
    if (auto error = copy_database(logbook.database(), beside->path())) return *error;
    std::vector<std::string> problems;
    {
        auto copy = Database::open(beside->path(), Database::Mode::existing);
        if (!copy) return copy.error();
        const auto hashes = clips_in(*copy);
        if (!hashes) return hashes.error();
        for (const std::string& hash : *hashes)
            if (!copy_clip(clip_path(logbook, hash), clip_path(path + ".clips", hash), hash))
                problems.push_back("The recording " + clip_path(logbook, hash) + " could not be copied.");
        const auto fingerprint = fingerprint_of(*copy);
        if (!fingerprint) return fingerprint.error();
        // Known before it stands there: a copy that nobody knows could not be renewed.
        for (Database* each : {&*copy, &logbook.database()}) {
            each->run("INSERT OR REPLACE INTO copy_made VALUES (?, ?)", *fingerprint, now_utc());
            if (each->failed()) return each->take_error();
        }
    }
    const auto placed = beside->put_in_place();
    if (!placed) return placed.error();
    // What SQLite left beside the copy that was replaced does not belong to this one.
    std::error_code problem;
    for (const char* ending : {"-wal", "-shm"}) fs::remove(base::path_of(path + ending), problem);
    return problems;
}

Result<MergeReport> merge(Logbook& logbook, const std::string& other_path) {
    std::error_code problem;
    if (fs::exists(base::path_of(other_path), problem) &&
        fs::equivalent(base::path_of(other_path), base::path_of(logbook.path()), problem))
        return Error{other_path, "this is the logbook itself", "Give the path of the other one"};
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
    if (!guard) return guard.error();
    const PassingFile passing{passing_path(logbook.path(), "merge")};
    auto told = judged_copy(other_path, passing.path);
    if (!told) return told.error();
    Database& database = logbook.database();
    database.run("ATTACH ? AS there", passing.path);
    if (database.failed()) return database.take_error();
    MergeReport report;
    std::vector<std::string> clips;
    auto error = copy_records(database, Attempt::trial, report, clips);
    for (const std::string& hash : error ? std::vector<std::string>() : clips) {
        const std::string from = clip_path(other_path + ".clips", hash);
        if (!copy_clip(from, clip_path(logbook, hash), hash))
            told->push_back("The recording " + from + " is missing or damaged; its record is kept.");
    }
    if (!error) {
        report = {};
        error = copy_records(database, Attempt::real, report, clips);
    }
    database.script("DETACH there");
    if (error) return *error;
    report.problems = std::move(*told);
    if (report.removed.empty()) return report;
    { const ClipGuard ended = std::move(*guard); }
    if (const auto tidied = remove_recordings_of_removed(logbook); tidied)
        report.problems.push_back(
            "The recordings of removed complaints could not be taken away yet; "
            "'tattletone logbook check --repair' does it.");
    return report;
}

}  // namespace tattletone::logbook
