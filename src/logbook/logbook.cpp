#include "logbook/logbook.h"

#include <array>
#include <filesystem>
#include <fstream>

#include "base/files/paths.h"
#include "logbook/storage/schema.h"

namespace tattletone::logbook {
namespace {

namespace fs = std::filesystem;

std::optional<Error> judge_path(const std::string& path, Logbook::Mode mode) {
    if (const auto error = judge_place(path)) return error;
    const fs::path name = base::path_of(path);
    std::error_code problem;
    if (fs::exists(name, problem)) return std::nullopt;
    if (mode != Logbook::Mode::create)
        return Error{path, "there is no logbook",
                     "Begin one with 'tattletone unit add', or give its path with --logbook FILE"};
    if (!fs::is_directory(base::folder_of(name), problem))
        return Error{path, "its folder does not exist", "Make the folder first"};
    return std::nullopt;
}

// SQLite rolls back by the journal that lies beside a file, and where that names a further file, it deletes
// that one. None of ours ever does: they are of one file each.
bool journal_names_a_file(const std::string& path) {
    constexpr std::array<char, 8> mark = {'\xd9', '\xd5', '\x05', '\xf9', '\x20', '\xa1', '\x63', '\xd7'};
    std::array<char, 8> tail = {};
    std::ifstream file(base::path_of(path + "-journal"), std::ios::binary);
    file.seekg(-8, std::ios::end);
    return file.read(tail.data(), tail.size()) && tail == mark;
}

}  // namespace

std::optional<Error> judge_place(const std::string& path) {
    // To SQLite these are no files: what is stored there would be gone at the end.
    if (path.empty()) return Error{"logbook", "its path is empty", "Give the path of a file"};
    if (path.front() == ':' || path.starts_with("file:") || path.find('\0') != std::string::npos)
        return Error{path, "a logbook is an ordinary file, and this is not the name of one",
                     "Give the path of a file; './' before it takes any name as it is"};
    std::error_code problem;
    const fs::file_status status = fs::status(base::path_of(path), problem);
    if (fs::is_directory(status)) return Error{path, "this is a folder", "Give the path of a logbook file"};
    if (fs::exists(status) && !fs::is_regular_file(status))
        return Error{path, "a logbook is an ordinary file, and this is a device or a pipe", "Give the path of a file"};
    return std::nullopt;
}

Result<Logbook> Logbook::open(const std::string& path, Mode mode) {
    if (const auto error = judge_path(path, mode)) return *error;
    if (journal_names_a_file(path))
        return Error{path + "-journal", "this journal would have another file deleted, and no tattletone wrote it",
                     "Move it away and go on with the latest backup"};
    auto database = Database::open(path, mode == Mode::create     ? Database::Mode::create
                                         : mode == Mode::existing ? Database::Mode::existing
                                                                  : Database::Mode::read_only);
    if (!database) return database.error();
    database->script("PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON");
    if (mode == Mode::look_only) {
        const auto version = judge_schema(*database);
        if (!version) return version.error();
        if (*version != newest_version())
            return Error{path, "the logbook is of another version than this program's",
                         "Open it once with the newest tattletone, for instance by 'unit list'"};
        return Logbook(path, std::move(*database));
    }
    if (auto error = bring_up_to_date(*database)) return *error;
    database->script("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL");
    if (database->failed()) return database->take_error();
    return Logbook(path, std::move(*database));
}

std::string Logbook::clips_folder() const {
    return path_ + ".clips";
}

}  // namespace tattletone::logbook
