#pragma once

#include <optional>
#include <string>

#include "logbook/storage/database.h"

namespace tattletone::logbook {

/// Is this the place of an ordinary file, whether or not one is there? A folder, a device, a pipe and what
/// SQLite takes for something else than a file are none.
std::optional<Error> judge_place(const std::string& path);

/// What a maker keeps: one SQLite file, and beside it the folder NAME.clips with the recordings.
/// Opened by a path; any number of processes may have it open at once.
class Logbook {
  public:
    enum class Mode {
        create,     ///< makes the file where there is none
        existing,   ///< an error where there is none
        look_only,  ///< the same, and nothing is changed, not even to migrate
    };
    /// Errors: no such file, no ordinary file, no permission, no logbook, a newer version, damaged.
    static Result<Logbook> open(const std::string& path, Mode mode);

    Database& database() { return database_; }
    const std::string& path() const { return path_; }
    std::string clips_folder() const;  ///< "heron.logbook" has "heron.logbook.clips"

  private:
    Logbook(std::string path, Database database) : path_(std::move(path)), database_(std::move(database)) {}
    std::string path_;
    Database database_;
};

}  // namespace tattletone::logbook
