#pragma once

#include <sqlite3.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "logbook/complaints/complaints.h"
#include "logbook/folder.h"
#include "logbook/storage/sha256.h"
#include "logbook/units/measurements.h"
#include "match/json/findings_json.h"
#include "report/sample_findings.h"
#include "sound/clip/clip_writer.h"
#include "support/names.h"

/// Logbooks with something in them, and what a stranger can do to such a file: SQLite as it comes, with none
/// of the program's own care.

inline void raw_sql(const std::string& path, const std::string& sql) {
    sqlite3* file = nullptr;
    if (sqlite3_open(path.c_str(), &file) == SQLITE_OK) {
        char* problem = nullptr;
        if (sqlite3_exec(file, sql.c_str(), nullptr, nullptr, &problem) != SQLITE_OK)
            throw std::runtime_error(sql + ": " + (problem != nullptr ? problem : "?"));
    }
    sqlite3_close(file);
}

inline const tattletone::KeptSheet& spoil_sheet() {
    static const std::string text = "[board]\nname = \"Heron\"\n";
    static const tattletone::KeptSheet sheet{tattletone::sha256_of(text), "Heron", "C", text};
    return sheet;
}

/// A recording of a board that whines, in the folder.
inline std::string whining_clip(const Folder& folder) {
    const std::string path = folder.file("a.wav");
    if (const auto error = tattletone::write_clip(path, whine(3000.0), tattletone::ClipFormat::wav_24))
        throw std::runtime_error(tattletone::to_sentence(*error));
    return path;
}

/// One unit with a measurement and an opinion, one complaint; one recording each, where `clips`. Empty where
/// something failed; else the complaint's id.
inline std::string fill_book(const std::string& path, const std::string& serial, const std::string& clip) {
    using namespace tattletone;
    auto logbook = Logbook::open(path, Logbook::Mode::create);
    if (!logbook) return {};
    Unit unit;
    unit.serial = serial;
    const auto added = add_unit(*logbook, unit, spoil_sheet());
    const Findings findings = sample::named();
    const PrintedFindings printed{&findings, findings_json(findings), "ranger.frame is singing.", "named"};
    if (!added || !store_measurement(*logbook, *added, &spoil_sheet(), printed, {},
                                     {{clip, TakeRole::take, &findings.unit.takes[0].found}}, !clip.empty()))
        return {};
    Opinion opinion;
    opinion.unit = added->id;
    opinion.board = "Heron";
    opinion.rate = "ranger.frame";
    opinion.said = "confirmed";
    if (add_opinion(*logbook, opinion)) return {};
    Complaint complaint;
    complaint.path = clip;
    complaint.findings_json = printed.json;
    complaint.usable_low_hz = 100.0;
    complaint.usable_high_hz = 16000.0;
    const auto id = store_complaint(*logbook, complaint, &spoil_sheet(), !clip.empty());
    return id ? *id : std::string();
}

inline std::string bytes_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

inline void write_bytes(const std::string& path, const std::string& bytes) {
    std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

/// One file, without a write-ahead log, so that it can be copied and cut.
inline void settle_book(const std::string& path) {
    raw_sql(path, "PRAGMA journal_mode = DELETE");
}

/// Everything that the file's tables hold.
inline std::string content_of(tattletone::Database& database) {
    std::string content;
    for (const char* table : {"sheet", "clip", "unit", "measurement", "take", "tone", "suspect", "opinion", "complaint",
                              "broken_clip", "removed", "conflict"}) {
        auto row = database.query(("SELECT * FROM " + std::string(table) + " ORDER BY 1, 2").c_str());
        const auto columns = static_cast<int>(
            database.number(("SELECT count(*) FROM pragma_table_info('" + std::string(table) + "')").c_str()));
        while (row.step()) {
            content += table;
            for (int i = 0; i < columns; ++i) content += '|' + row.text(i);
            content += '\n';
        }
    }
    return content;
}

/// The names of all files below the folder, but for what SQLite keeps beside an open file.
inline std::set<std::string> names_below(const std::filesystem::path& folder) {
    std::set<std::string> names;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        const std::string name = entry.path().lexically_relative(folder).string();
        if (!name.ends_with("-wal") && !name.ends_with("-shm")) names.insert(name);
    }
    return names;
}
