#include "logbook/check.h"

#include <filesystem>
#include <set>

#include "logbook/clip_store.h"
#include "logbook/sha256.h"

namespace tattletone {
namespace {

namespace fs = std::filesystem;

void check_structure(Database& database, CheckReport& report) {
    for (auto row = database.query("PRAGMA integrity_check(20)"); row.step();)
        if (row.text(0) != "ok")
            report.problems.push_back("The file is damaged inside: keep a copy of it as it is and go on "
                                      "with the latest backup.");
    for (auto row = database.query("PRAGMA foreign_key_check"); row.step();)
        report.problems.push_back("An entry of '" + row.text(0) + "' belongs to an entry of '" +
                                  row.text(2) + "' that is not there.");
    for (auto row = database.query("SELECT name, hash, text FROM sheet"); row.step();)
        if (sha256_of(row.text(2)) != row.text(1))
            report.problems.push_back("The board sheet of '" + row.text(0) +
                                      "' is not the one that was stored.");
    for (auto row = database.query("SELECT id FROM measurement WHERE NOT json_valid(findings)");
         row.step();)
        report.problems.push_back("The findings of measurement " + row.text(0) + " cannot be read.");
    for (auto row = database.query("SELECT id FROM complaint WHERE NOT json_valid(findings)");
         row.step();)
        report.problems.push_back("The findings of complaint " + row.text(0) + " cannot be read.");
}

void check_clips(Logbook& logbook, CheckReport& report,
                 const std::function<void(long long, long long)>& progress) {
    Database& database = logbook.database();
    std::set<std::string> known;
    long long done = 0;
    for (auto row = database.query("SELECT hash FROM clip"); row.step();) {
        const std::string hash = row.text(0), path = clip_path(logbook, hash);
        known.insert(hash);
        std::error_code problem;
        if (!fs::exists(fs::path(std::u8string(path.begin(), path.end())), problem)) {
            report.problems.push_back("The recording " + path +
                                      " is missing; copy it there from a backup.");
        } else {
            const auto found = hash_of_sound(path);
            if (!found || *found != hash)
                report.problems.push_back("The recording " + path +
                                          " is not the one that was stored; copy it from a backup.");
        }
        if (progress) progress(++done, report.clips);
    }
    report.unneeded += static_cast<int>(database.number(
        "SELECT count(*) FROM clip WHERE NOT EXISTS (SELECT 1 FROM take WHERE take.clip = clip.hash) "
        "AND NOT EXISTS (SELECT 1 FROM complaint WHERE complaint.clip = clip.hash)"));
    std::error_code problem;
    const std::string folder = logbook.clips_folder();
    for (fs::recursive_directory_iterator entry(fs::path(std::u8string(folder.begin(), folder.end())), problem), end;
         !problem && entry != end; entry.increment(problem))
        if (entry->is_regular_file(problem) && entry->path().filename() != "lock" &&
            (entry->path().extension() != ".flac" || known.count(entry->path().stem().string()) == 0))
            ++report.unneeded;
}

}  // namespace

Result<CheckReport> check_logbook(Logbook& logbook, bool repair,
                                  const std::function<void(long long, long long)>& progress) {
    Database& database = logbook.database();
    CheckReport report;
    std::optional<ClipGuard> guard;
    if (repair) {
        auto taken = ClipGuard::take(logbook, ClipGuard::Purpose::removing);
        if (!taken) return taken.error();
        guard.emplace(std::move(*taken));
    }
    report.units = database.number("SELECT count(*) FROM unit");
    report.measurements = database.number("SELECT count(*) FROM measurement");
    report.complaints = database.number("SELECT count(*) FROM complaint");
    report.clips = database.number("SELECT count(*) FROM clip");
    check_structure(database, report);
    check_clips(logbook, report, progress);
    for (auto row = database.query("SELECT what, here, there FROM conflict ORDER BY seen_at, what");
         row.step();)
        report.conflicts.push_back(row.text(0) + ": here '" + row.text(1) + "', there '" +
                                   row.text(2) + "'.");
    if (database.failed()) return database.take_error();
    if (repair && report.unneeded > 0) {
        const auto removed = remove_unneeded_clips(logbook);
        if (!removed) return removed.error();
        report.unneeded_removed = true;
    }
    return report;
}

}  // namespace tattletone
