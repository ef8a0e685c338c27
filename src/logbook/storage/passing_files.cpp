#include "logbook/storage/passing_files.h"

#include <algorithm>
#include <filesystem>

#include "base/files/paths.h"
#include "logbook/storage/system_file.h"
#include "logbook/units/identity.h"

namespace tattletone::logbook {
namespace {

namespace fs = std::filesystem;

constexpr const char* beside_sqlite[] = {"", "-wal", "-shm", "-journal"};

// Only what has a UUID of ours in its name: a file of the user that is called alike stays.
bool is_passing(const std::string& name, const std::string& beginning, std::string ending) {
    if (!name.starts_with(beginning) || !name.ends_with(ending) || name.size() < beginning.size() + ending.size())
        return false;
    return is_record_id(name.substr(beginning.size(), name.size() - beginning.size() - ending.size()));
}

template <class Judge>
void add_files(std::vector<std::string>& files, const fs::path& folder, Judge judge) {
    std::error_code problem;
    for (fs::directory_iterator entry(folder, problem), end; !problem && entry != end; entry.increment(problem)) {
        std::error_code ignored;
        if (judge(base::utf8_of(entry->path().filename())) && fs::is_regular_file(entry->symlink_status(ignored)))
            files.push_back(base::utf8_of(entry->path()));
    }
}

/// Marks of a triage, each locked by who works on that clip: NAME.at-work-XXXX.
std::vector<std::string> dead_marks_of(const std::string& path) {
    const fs::path file = base::path_of(path);
    const std::string beginning = base::utf8_of(file.filename()) + ".at-work-";
    std::vector<std::string> marks;
    add_files(marks, base::folder_of(file), [&](const std::string& other) {
        return other.starts_with(beginning) && other.size() > beginning.size() &&
               other.find_first_not_of("0123456789abcdef", beginning.size()) == std::string::npos;
    });
    std::erase_if(marks, [](const std::string& mark) { return !FileLock::take(mark, FileLock::Kind::exclusive, 0.0); });
    return marks;
}

}  // namespace

std::string passing_path(const std::string& path, const std::string& kind) {
    return path + "." + kind + "-" + new_id();
}

std::string incoming_clip_path(const std::string& clips_folder) {
    return clips_folder + "/incoming-" + new_id() + ".flac";
}

std::vector<std::string> passing_files_of(const std::string& path) {
    const fs::path file = base::path_of(path);
    const std::string name = base::utf8_of(file.filename());
    std::vector<std::string> files;
    add_files(files, base::folder_of(file), [&](const std::string& other) {
        return std::any_of(std::begin(beside_sqlite), std::end(beside_sqlite), [&](const char* ending) {
            return is_passing(other, name + ".part-", ending) || is_passing(other, name + ".merge-", ending);
        });
    });
    add_files(files, base::path_of(path + ".clips"), [](const std::string& other) {
        // What becomes a recording, and what becomes that (base/files/output_file.h).
        const std::size_t made = other.find(".flac.part-");
        if (made == std::string::npos) return is_passing(other, "incoming-", ".flac");
        return is_passing(other.substr(0, made + 5), "incoming-", ".flac") && is_record_id(other.substr(made + 11));
    });
    std::sort(files.begin(), files.end());
    return files;
}

std::vector<std::string> half_made_files_of(const std::string& path) {
    auto files = passing_files_of(path);
    const std::string lock = path + ".clips/lock";
    std::error_code problem;
    // Where there is no lock nobody is at work: it is made first.
    if (!files.empty() && fs::exists(base::path_of(lock), problem)) {
        const auto alone = FileLock::take(lock, FileLock::Kind::exclusive, 0.0);
        files = alone ? passing_files_of(path) : std::vector<std::string>();
    }
    for (std::string& mark : dead_marks_of(path)) files.push_back(std::move(mark));
    return files;
}

void remove_passing_files(const std::string& path) {
    std::error_code ignored;
    for (const std::string& file : passing_files_of(path)) fs::remove(base::path_of(file), ignored);
    for (const std::string& mark : dead_marks_of(path)) fs::remove(base::path_of(mark), ignored);
}

PassingFile::~PassingFile() {
    std::error_code ignored;
    for (const char* ending : beside_sqlite) fs::remove(base::path_of(path + ending), ignored);
}

}  // namespace tattletone::logbook
