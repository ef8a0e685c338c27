#include "logbook/storage/check.h"

#include <algorithm>
#include <filesystem>
#include <set>

#include "base/files/paths.h"
#include "logbook/storage/clip_store.h"
#include "logbook/storage/passing_files.h"
#include "logbook/storage/record_check.h"

namespace tattletone::logbook {
namespace {

namespace fs = std::filesystem;

void check_clips(Logbook& logbook, CheckReport& report, const std::function<void(long long, long long)>& progress) {
    Database& database = logbook.database();
    std::set<std::string> known;
    long long done = 0;
    for (auto row = database.query("SELECT hash FROM clip"); row.step();) {
        const std::string hash = row.text(0), path = clip_path(logbook, hash);
        known.insert(hash);
        std::error_code problem;
        if (path.empty()) {
            // Told once, below.
        } else if (!fs::exists(base::path_of(path), problem)) {
            report.problems.push_back("The recording " + path + " is missing; copy it there from a backup.");
        } else {
            const auto found = hash_of_sound(path);
            if (!found || *found != hash)
                report.problems.push_back("The recording " + path +
                                          " is not the one that was stored; copy it from a backup.");
        }
        if (progress) progress(++done, report.clips);
    }
    if (const auto nameless = clips_without_hash(database); nameless > 0)
        report.problems.push_back(std::to_string(nameless) + (nameless == 1 ? " recording has" : " recordings have") +
                                  " a name that is no hash; go on with the latest backup.");
    report.unneeded += static_cast<int>(
        database.number("SELECT count(*) FROM clip WHERE NOT EXISTS (SELECT 1 FROM take WHERE take.clip = clip.hash) "
                        "AND NOT EXISTS (SELECT 1 FROM complaint WHERE complaint.clip = clip.hash)"));
    std::error_code problem;
    // What is coming in is no recording yet: see passing_files.h.
    const auto passing = passing_files_of(logbook.path());
    const fs::path folder = base::path_of(logbook.clips_folder());
    for (fs::recursive_directory_iterator entry(folder, problem), end; !problem && entry != end;
         entry.increment(problem))
        if (entry->is_regular_file(problem) && entry->path().filename() != "lock" &&
            (entry->path().extension() != ".flac" || known.count(entry->path().stem().string()) == 0) &&
            std::find(passing.begin(), passing.end(), base::utf8_of(entry->path())) == passing.end())
            ++report.unneeded;
}

}  // namespace

Result<CheckReport> check_logbook(Logbook& logbook, bool repair,
                                  const std::function<void(long long, long long)>& progress) {
    Database& database = logbook.database();
    CheckReport report;
    report.half_made = half_made_files_of(logbook.path());
    std::optional<ClipGuard> guard;
    if (repair) {
        auto taken = ClipGuard::take(logbook, ClipGuard::Purpose::removing);
        if (!taken) return taken.error();
        guard.emplace(std::move(*taken));
        report.half_made_removed = passing_files_of(logbook.path()).empty();
    }
    report.units = database.number("SELECT count(*) FROM unit");
    report.measurements = database.number("SELECT count(*) FROM measurement");
    report.complaints = database.number("SELECT count(*) FROM complaint");
    report.clips = database.number("SELECT count(*) FROM clip");
    report.problems = problems_of_records(database);
    check_clips(logbook, report, progress);
    for (auto row = database.query("SELECT what, here, there FROM conflict ORDER BY seen_at, what"); row.step();)
        report.conflicts.push_back(row.text(0) + ": here '" + row.text(1) + "', there '" + row.text(2) + "'.");
    if (database.failed()) return database.take_error();
    if (repair && report.unneeded > 0) {
        const auto removed = remove_unneeded_clips(logbook);
        if (!removed) return removed.error();
        report.unneeded_removed = true;
    }
    return report;
}

}  // namespace tattletone::logbook
