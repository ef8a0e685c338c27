#include "logbook/copies.h"

#include <sqlite3.h>

#include <filesystem>

#include "logbook/clip_store.h"
#include "logbook/identity.h"
#include "logbook/older_copy.h"

namespace tattletone {
namespace {

namespace fs = std::filesystem;

fs::path from_utf8(const std::string& path) {
    return fs::path(std::u8string(path.begin(), path.end()));
}

// A database file with what SQLite puts beside it; gone at the end.
struct PassingFile {
    std::string path;
    ~PassingFile() {
        std::error_code ignored;
        for (const char* ending : {"", "-wal", "-shm", "-journal"})
            fs::remove(from_utf8(path + ending), ignored);
    }
};

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
    return Error{to, "the copy could not be written",
                 "Make room there, check that you may write, and do it again"};
}

bool copy_clip(const std::string& from, const std::string& to, const std::string& hash) {
    std::error_code problem;
    if (fs::exists(from_utf8(to), problem)) return true;
    const fs::path folder = from_utf8(to).parent_path();
    fs::create_directories(folder, problem);
    const fs::path beside = folder.parent_path() / ("incoming-" + new_id() + ".flac");
    const auto name = beside.u8string();
    const std::string beside_path(name.begin(), name.end());
    bool good = fs::copy_file(from_utf8(from), beside, problem) && !problem;
    if (good) {
        const auto found = hash_of_sound(beside_path);
        good = found && *found == hash && flush_to_disk(beside_path);
    }
    if (good) fs::rename(beside, from_utf8(to), problem);
    if (good && !problem) return true;
    fs::remove(beside, problem);
    return false;
}

std::string in_folder(const std::string& clips_folder, const std::string& hash) {
    return clips_folder + "/" + hash.substr(0, 2) + "/" + hash + ".flac";
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
    "INSERT OR IGNORE INTO clip SELECT * FROM there.clip",
    "UPDATE unit SET retired_at = it.retired_at FROM there.unit AS it "
    "WHERE it.id = unit.id AND unit.retired_at IS NULL AND it.retired_at IS NOT NULL",
    "UPDATE complaint SET outcome = it.outcome, closed_at = it.closed_at FROM there.complaint AS it "
    "WHERE it.id = complaint.id AND complaint.closed_at IS NULL AND it.closed_at IS NOT NULL",
};

constexpr const char* details[] = {
    "INSERT OR IGNORE INTO take SELECT here.number, position, is_room, path, state, spot, clip, gaps, "
    "floor FROM there.take AS it JOIN there.measurement AS theirs ON theirs.number = it.measurement "
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

std::optional<Error> copy_records(Database& database, MergeReport& report) {
    Transaction transaction(database);
    database.run(find_conflicts, now_utc());
    report.clips = database.number(
        "SELECT count(*) FROM there.clip WHERE hash NOT IN (SELECT hash FROM main.clip)");
    for (const char* sql : copies) database.run(sql);
    database.run("INSERT OR IGNORE INTO unit SELECT * FROM there.unit");
    report.units = database.changes();
    database.run("CREATE TEMP TABLE new_ones AS SELECT id FROM there.measurement WHERE id NOT IN "
                 "(SELECT id FROM main.measurement)");
    const std::string columns = measurement_columns;
    database.run(("INSERT INTO main.measurement (" + columns + ") SELECT " + columns +
                  " FROM there.measurement JOIN new_ones USING (id)")
                     .c_str());
    report.measurements = database.number("SELECT count(*) FROM new_ones");
    for (const char* sql : details) database.run(sql);
    database.run("INSERT OR IGNORE INTO opinion SELECT * FROM there.opinion");
    report.opinions = database.changes();
    database.run("INSERT OR IGNORE INTO complaint SELECT * FROM there.complaint "
                 "WHERE id NOT IN (SELECT id FROM removed)");
    report.complaints = database.changes();
    for (auto row = database.query("SELECT what, here, there FROM conflict ORDER BY seen_at, what");
         row.step();)
        report.conflicts.push_back(row.text(0) + ": here '" + row.text(1) + "', there '" +
                                   row.text(2) + "'.");
    database.run("DROP TABLE new_ones");
    return transaction.commit();
}

}  // namespace

Result<std::vector<std::string>> back_up(Logbook& logbook, OutputFile place) {
    const std::string& path = place.path;
    if (same_file(path, logbook.path()))
        return Error{path, "this is the logbook itself", "Give another path for the copy"};
    place.kind = OutputKind::logbook_copy;
    place.older_copy = [&](const std::string& standing, bool overwrite) {
        return judge_older_copy(logbook, standing, overwrite);
    };
    if (auto error = judge_clips_folder(logbook, path)) return *error;
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
    if (!guard) return guard.error();
    auto beside = FileInMaking::begin(place);
    if (!beside) return beside.error();
    if (auto error = copy_database(logbook.database(), beside->path())) return *error;
    std::vector<std::string> problems;
    {
        auto copy = Database::open(beside->path(), Database::Mode::existing);
        if (!copy) return copy.error();
        const auto hashes = clips_in(*copy);
        if (!hashes) return hashes.error();
        for (const std::string& hash : *hashes)
            if (!copy_clip(clip_path(logbook, hash), in_folder(path + ".clips", hash), hash))
                problems.push_back("The recording " + clip_path(logbook, hash) +
                                   " could not be copied.");
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
    for (const char* ending : {"-wal", "-shm"}) fs::remove(from_utf8(path + ending), problem);
    return problems;
}

Result<MergeReport> merge(Logbook& logbook, const std::string& other_path) {
    std::error_code problem;
    if (fs::exists(from_utf8(other_path), problem) &&
        fs::equivalent(from_utf8(other_path), from_utf8(logbook.path()), problem))
        return Error{other_path, "this is the logbook itself", "Give the path of the other one"};
    // A copy is brought to this version, so that the other file stays as it is.
    const PassingFile passing{logbook.path() + ".merge-" + new_id()};
    {
        auto judged = Logbook::open(other_path, Logbook::Mode::look_only);
        auto other = Database::open(other_path, Database::Mode::existing);
        if (!judged && !other) return judged.error();
        if (!other) return other.error();
        if (auto error = copy_database(*other, passing.path))
            return judged ? *error : judged.error();
        auto copy = Logbook::open(passing.path, Logbook::Mode::existing);
        if (!copy) return Error{other_path, copy.error().what, copy.error().todo};
        if (auto row = copy->database().query("PRAGMA journal_mode = DELETE"); row.step()) {}
    }
    auto guard = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
    if (!guard) return guard.error();
    Database& database = logbook.database();
    database.run("ATTACH ? AS there", passing.path);
    if (database.failed()) return database.take_error();
    MergeReport report;
    std::vector<std::string> hashes;
    for (auto row = database.query(
             "SELECT hash FROM there.clip WHERE hash IN (SELECT clip FROM there.take) OR hash IN "
             "(SELECT clip FROM there.complaint WHERE id NOT IN (SELECT id FROM main.removed))");
         row.step();)
        hashes.push_back(row.text(0));
    for (const std::string& hash : hashes)
        if (!copy_clip(in_folder(other_path + ".clips", hash), clip_path(logbook, hash), hash))
            report.problems.push_back("The recording " + in_folder(other_path + ".clips", hash) +
                                      " is missing or damaged; its record is kept.");
    const auto error = copy_records(database, report);
    database.script("DETACH there");
    if (error) return *error;
    return report;
}

}  // namespace tattletone
