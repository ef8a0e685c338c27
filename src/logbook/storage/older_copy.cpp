#include "logbook/storage/older_copy.h"

#include <filesystem>
#include <set>

#include "base/files/file_content.h"
#include "base/files/output_file.h"
#include "base/files/paths.h"
#include "logbook/storage/schema.h"
#include "logbook/storage/sha256.h"

namespace tattletone::logbook {
namespace {

namespace fs = std::filesystem;

constexpr const char* give_another = "Give another name: a logbook is never overwritten";

bool is_hex(std::string_view text, std::size_t digits) {
    return text.size() == digits && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

// Somebody has it open, or it was not closed in order: part of it lies in a file beside it.
bool is_unsettled(const std::string& path) {
    std::error_code problem;
    for (const char* ending : {"-wal", "-journal"}) {
        const auto bytes = fs::file_size(base::path_of(path + ending), problem);
        if (!problem && bytes > 0) return true;
    }
    return false;
}

// What the program never makes in a logbook, and what could keep a reader busy for ever.
bool has_foreign_parts(Database& database) {
    return database.number(
               "SELECT count(*) FROM sqlite_schema WHERE type IN ('view', 'trigger') OR "
               "sql LIKE 'create virtual%'") != 0;
}

bool is_known(Database& own, const char* table, const std::string& id) {
    auto here = own.query(("SELECT 1 FROM " + std::string(table) + " WHERE id = ?").c_str(), id);
    if (here.step()) return true;
    auto gone = own.query("SELECT 1 FROM removed WHERE id = ?", id);
    return gone.step();
}

bool has_every_record_of(Database& own, Database& copy) {
    for (const char* table : {"unit", "measurement", "opinion", "complaint"}) {
        auto there = copy.query("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?", table);
        if (!there.step()) continue;
        for (auto row = copy.query(("SELECT id FROM " + std::string(table)).c_str()); row.step();)
            if (!is_known(own, table, row.text(0))) return false;
    }
    return !copy.failed() && !own.failed();
}

}  // namespace

Result<std::string> fingerprint_of(Database& database) {
    std::vector<std::string> tables;
    for (auto row = database.query("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE "
                                   "'sqlite%' AND name <> 'copy_made' ORDER BY name");
         row.step();)
        tables.push_back(row.text(0));
    Sha256 hash;
    for (const std::string& table : tables) {
        std::string quoted;
        for (const char letter : table) quoted += std::string(letter == '"' ? 2 : 1, letter);
        hash.add("table " + table + "\n");
        for (auto row = database.query(("SELECT * FROM \"" + quoted + "\"").c_str()); row.step();) {
            for (int column = 0; column < row.columns(); ++column) {
                if (row.is_null(column)) {
                    hash.add("null;");
                    continue;
                }
                const std::string value = row.bytes(column);
                hash.add(std::to_string(value.size()) + ":");
                hash.add(value);
            }
        }
    }
    if (database.failed()) return database.take_error();
    return hash.finish();
}

std::optional<Error> judge_older_copy(Logbook& own, const std::string& path, bool overwrite) {
    if (base::same_file(path, own.path()))
        return Error{path, "this is the logbook itself", "Give another path for the copy"};
    const Error foreign{path, "a logbook or another database stands there that is no older copy of this logbook",
                        give_another};
    if (is_unsettled(path))
        return Error{path, "a logbook stands there that is in use or was not closed in order",
                     "Wait for the other program, or open it once with 'tattletone unit list --logbook FILE'"};
    auto copy = Database::open(path, Database::Mode::untouched);
    if (!copy) return foreign;
    const bool of_ours = copy->number("PRAGMA application_id") == logbook_application_id;
    if (copy->failed() || !of_ours || has_foreign_parts(*copy)) return foreign;
    const auto fingerprint = fingerprint_of(*copy);
    if (!fingerprint) return foreign;
    {
        auto made = own.database().query("SELECT 1 FROM copy_made WHERE fingerprint = ?", *fingerprint);
        if (made.step()) return std::nullopt;
    }
    const bool holds_nothing_else = has_every_record_of(own.database(), *copy);
    if (own.database().failed()) return own.database().take_error();
    if (!holds_nothing_else) return foreign;
    if (overwrite) return std::nullopt;
    return Error{path,
                 "a logbook stands there with records of this one, but it is not known as a copy of it as it was (made "
                 "by an earlier version, or changed since)",
                 "Give another name, or --overwrite if it may go"};
}

std::optional<Error> judge_clips_folder(Logbook& own, const std::string& path) {
    const std::string folder = path + ".clips";
    std::error_code problem;
    const auto status = fs::status(base::path_of(folder), problem);
    if (status.type() == fs::file_type::not_found &&
        !fs::is_symlink(fs::symlink_status(base::path_of(folder), problem)))
        return std::nullopt;
    if (status.type() != fs::file_type::directory)
        return Error{folder, "this is no folder, and the recordings would go there",
                     "Give another name for the copy, or move it away"};
    if (base::same_file(folder, own.clips_folder()))
        return Error{folder, "these are the logbook's own recordings", "Give another name for the copy"};
    const auto replaced = base::look_at_file(path);
    const bool belongs_to_copy = replaced && replaced->content == base::FileContent::database;
    for (fs::recursive_directory_iterator entry(base::path_of(folder), problem), end; !problem && entry != end;
         entry.increment(problem)) {
        std::error_code unknown;
        const std::string name = base::utf8_of(entry->path().filename());
        const std::string hash = base::utf8_of(entry->path().stem());
        const auto type = entry->symlink_status(unknown).type();
        const bool at_top = entry.depth() == 0;
        if (type == fs::file_type::directory && at_top && is_hex(name, 2)) continue;
        if (type == fs::file_type::regular && at_top && (name == "lock" || name.starts_with("incoming-"))) continue;
        if (type != fs::file_type::regular || at_top || !is_hex(hash, 64) || !name.ends_with(".flac"))
            return Error{folder, "this folder is there and holds '" + name + "', which is no recording of a logbook",
                         "Give another name for the copy"};
        if (belongs_to_copy) continue;
        auto known = own.database().query("SELECT 1 FROM clip WHERE hash = ?", hash);
        if (!known.step())
            return Error{folder, "this folder is there and holds recordings that are not of this logbook",
                         "Give another name for the copy"};
    }
    if (problem) return Error{folder, "this folder is there and cannot be read", "Give another name for the copy"};
    return std::nullopt;
}

}  // namespace tattletone::logbook
