#include "logbook/logbook.h"

#include <filesystem>

#include "logbook/schema.h"

namespace tattletone {
namespace {

namespace fs = std::filesystem;

std::optional<Error> judge_path(const std::string& path, Logbook::Mode mode) {
    const fs::path name(std::u8string(path.begin(), path.end()));
    std::error_code problem;
    if (fs::is_directory(name, problem))
        return Error{path, "this is a folder", "Give the path of a logbook file"};
    if (fs::exists(name, problem)) return std::nullopt;
    if (mode != Logbook::Mode::create)
        return Error{path, "there is no logbook",
                     "Begin one with 'tattletone unit add', or give its path with --logbook FILE"};
    const fs::path folder = name.has_parent_path() ? name.parent_path() : fs::path(".");
    if (!fs::is_directory(folder, problem))
        return Error{path, "its folder does not exist", "Make the folder first"};
    return std::nullopt;
}

}  // namespace

Result<Logbook> Logbook::open(const std::string& path, Mode mode) {
    if (const auto error = judge_path(path, mode)) return *error;
    auto database = Database::open(path, mode == Mode::create     ? Database::Mode::create
                                         : mode == Mode::existing ? Database::Mode::existing
                                                                  : Database::Mode::read_only);
    if (!database) return database.error();
    database->script("PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON");
    if (mode == Mode::look_only) {
        const auto version = database->number("PRAGMA user_version");
        const auto kind = database->number("PRAGMA application_id");
        if (database->failed()) return database->take_error();
        if (kind != logbook_application_id)
            return Error{path, "this file is no logbook", "Give the path of a logbook"};
        if (version != static_cast<std::int64_t>(schema_steps().size()))
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

}  // namespace tattletone
