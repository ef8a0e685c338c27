#include "edited_book.h"

#include <sqlite3.h>

#include <cstring>
#include <fstream>
#include <iterator>
#include <utility>
#include <vector>

#include "logbook/spoil.h"
#include "support/names.h"

namespace tattletone {
namespace {

/// Bytes one after another; zeros behind the end.
class Bytes {
  public:
    explicit Bytes(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}
    bool ended() const { return at_ >= bytes_.size(); }
    std::uint8_t next() { return ended() ? std::uint8_t{0} : bytes_[at_++]; }
    template <class Number>
    Number number() {
        Number value;
        std::uint8_t raw[sizeof value];
        for (auto& byte : raw) byte = next();
        std::memcpy(&value, raw, sizeof value);
        return value;
    }
    std::string text() {
        std::string text(next(), '\0');
        for (char& c : text) c = static_cast<char>(next());
        return text;
    }

  private:
    std::span<const std::uint8_t> bytes_;
    std::size_t at_ = 0;
};

class Memory {
  public:
    explicit Memory(const std::string& book) {
        sqlite3_open(":memory:", &handle_);
        auto* const copy = static_cast<unsigned char*>(sqlite3_malloc64(book.size()));
        std::memcpy(copy, book.data(), book.size());
        const auto size = static_cast<sqlite3_int64>(book.size());
        sqlite3_deserialize(handle_, "main", copy, size, size,
                            SQLITE_DESERIALIZE_FREEONCLOSE | SQLITE_DESERIALIZE_RESIZEABLE);
        run("PRAGMA writable_schema = ON; PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF");
    }
    ~Memory() { sqlite3_close(handle_); }
    Memory(const Memory&) = delete;
    Memory& operator=(const Memory&) = delete;

    void run(const std::string& sql) { sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr); }
    sqlite3_stmt* prepare(const std::string& sql) {
        sqlite3_stmt* statement = nullptr;
        sqlite3_prepare_v2(handle_, sql.c_str(), -1, &statement, nullptr);
        return statement;
    }
    std::string bytes() {
        sqlite3_int64 size = 0;
        unsigned char* const raw = sqlite3_serialize(handle_, "main", &size, 0);
        std::string bytes(raw == nullptr ? "" : reinterpret_cast<const char*>(raw),
                          raw == nullptr ? 0u : static_cast<std::size_t>(size));
        sqlite3_free(raw);
        return bytes;
    }

  private:
    sqlite3* handle_ = nullptr;
};

const std::vector<std::pair<std::string, std::vector<std::string>>> columns = {
    {"sheet", {"hash", "name", "revision", "text"}},
    {"clip", {"hash", "sample_rate_hz", "seconds", "bytes"}},
    {"unit", {"id", "serial", "sheet", "batch", "firmware", "note", "added_at", "retired_at"}},
    {"measurement",
     {"number", "id", "unit", "sheet", "measured_at", "measured_by", "firmware", "microphone", "distance_cm", "note",
      "verdict", "answer", "findings", "label"}},
    {"take", {"measurement", "position", "is_room", "path", "state", "spot", "clip", "gaps", "floor", "is_far"}},
    {"tone",
     {"measurement", "id", "hz", "hz_sd", "level_dbfs", "tone_to_noise_db", "origin", "rate", "kind", "line", "other",
      "probability"}},
    {"suspect", {"measurement", "rate", "probability"}},
    {"opinion", {"id", "unit", "board", "rate", "said", "cause", "fix", "said_by", "said_at"}},
    {"complaint", {"id",        "added_at", "added_by", "text",     "unit",          "sheet",          "path",
                   "file_hash", "clip",     "gaps",     "floor",    "usable_low_hz", "usable_high_hz", "kind",
                   "rate",      "answer",   "reply",    "findings", "triage",        "outcome",        "closed_at"}},
    {"broken_clip", {"triage", "file_hash", "path", "problem"}},
    {"removed", {"id", "removed_at"}},
    {"sqlite_schema", {"type", "name", "tbl_name", "rootpage", "sql"}}};

const std::vector<std::string> texts = {"",
                                        "../../x/y",
                                        "'",
                                        "\x1b[2J",
                                        "\xFF",
                                        "9e999",
                                        "{}",
                                        "[",
                                        "2031-01-01T00:00:00.000Z",
                                        "zzzz",
                                        "01234567-89ab-4cde-8f01-23456789abcd",
                                        "confirmed",
                                        "board",
                                        "view",
                                        "trigger",
                                        "CREATE TABLE tone (x)",
                                        "CREATE VIEW clip AS SELECT 1 AS hash",
                                        "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"};
constexpr double reals[] = {0.0, -1.0, 1e308, -1e308, 1e-320, 0.5, 440.0, -60.0};

void bind_value(sqlite3_stmt* statement, Bytes& input) {
    switch (input.next() % 8) {
        case 0:
            sqlite3_bind_null(statement, 1);
            break;
        case 1:
            sqlite3_bind_int64(statement, 1, input.number<std::int64_t>());
            break;
        case 2:
            sqlite3_bind_int64(statement, 1, input.number<std::int8_t>());
            break;
        case 3:
            sqlite3_bind_double(statement, 1, input.number<double>());
            break;
        case 4:
            sqlite3_bind_double(statement, 1, reals[input.next() % std::size(reals)]);
            break;
        case 5: {
            const std::string& text = texts[input.next() % texts.size()];
            sqlite3_bind_text(statement, 1, text.data(), static_cast<int>(text.size()), SQLITE_TRANSIENT);
            break;
        }
        case 6: {
            const std::string text = input.text();
            sqlite3_bind_text(statement, 1, text.data(), static_cast<int>(text.size()), SQLITE_TRANSIENT);
            break;
        }
        default: {
            const std::string blob = input.text();
            sqlite3_bind_blob(statement, 1, blob.data(), static_cast<int>(blob.size()), SQLITE_TRANSIENT);
        }
    }
}

void edit_row(Memory& memory, Bytes& input) {
    const auto& [table, names] = columns[input.next() % columns.size()];
    const std::string& name = names[input.next() % names.size()];
    const std::string row = std::to_string(input.next() % 24);
    // Tables without rowids have few rows, so all of theirs are meant.
    const bool rows_have_ids =
        table != "take" && table != "tone" && table != "suspect" && table != "broken_clip" && table != "removed";
    const std::string which =
        rows_have_ids ? " WHERE rowid = (SELECT rowid FROM " + table + " LIMIT 1 OFFSET " + row + ")" : "";
    sqlite3_stmt* const statement = memory.prepare("UPDATE " + table + " SET " + name + " = ?" + which);
    if (statement == nullptr) return;
    bind_value(statement, input);
    sqlite3_step(statement);
    sqlite3_finalize(statement);
}

void copy_value(Memory& memory, Bytes& input) {
    const auto& [table, names] = columns[input.next() % (columns.size() - 1)];
    const std::string &to = names[input.next() % names.size()], &from = names[input.next() % names.size()];
    memory.run("UPDATE " + table + " SET " + to + " = " + from);
}

void grow(Memory& memory, Bytes& input) {
    const auto& [table, names] = columns[input.next() % (columns.size() - 1)];
    memory.run("UPDATE " + table + " SET " + names[input.next() % names.size()] + " = printf('%.*c', " +
               std::to_string(1000 * input.next()) + ", 'x')");
}

}  // namespace

std::string real_book(const std::string& path) {
    const std::string clip = path + ".wav";
    if (write_clip(clip, whine(3000.0, 0.05), ClipFormat::wav_24) || fill_book(path, "8", clip).empty()) return {};
    std::filesystem::remove(clip);
    raw_sql(path,
            "INSERT INTO broken_clip VALUES ('inbox', 'ff', 'b.wav', 'it is empty'); INSERT INTO removed VALUES "
            "('01234567-89ab-4cde-8f01-23456789abcd', '2031-01-01T00:00:00.000Z')");
    settle_book(path);
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

std::string edited(const std::string& book, std::span<const std::uint8_t> edits) {
    static const std::string loose = [&] {
        Memory memory(book);
        memory.run("CREATE TEMP TABLE was AS SELECT name, sql FROM sqlite_schema");
        memory.run(
            "UPDATE sqlite_schema SET sql = replace(replace(replace(sql, ' STRICT', ' '), ' ,', ' '), 'NOT NULL', '') "
            "WHERE type = 'table' AND sql NOT LIKE '%WITHOUT ROWID%'");
        memory.run(
            "UPDATE sqlite_schema SET sql = replace(replace(sql, 'STRICT, ', ''), 'NOT NULL', '') "
            "WHERE sql LIKE '%WITHOUT ROWID%'");
        return memory.bytes();
    }();
    static const std::vector<std::pair<std::string, std::string>> schema = [&] {
        std::vector<std::pair<std::string, std::string>> rows;
        Memory memory(book);
        sqlite3_stmt* const row = memory.prepare("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL");
        while (sqlite3_step(row) == SQLITE_ROW)
            rows.emplace_back(reinterpret_cast<const char*>(sqlite3_column_text(row, 0)),
                              reinterpret_cast<const char*>(sqlite3_column_text(row, 1)));
        sqlite3_finalize(row);
        return rows;
    }();
    Bytes input(edits);
    std::vector<std::pair<std::uint32_t, char>> patches;
    std::string bytes;
    {
        Memory memory(loose);
        for (int i = 0; i < 12 && !input.ended(); ++i) {
            switch (input.next() % 8) {
                case 0:
                    memory.run("PRAGMA user_version = " + std::to_string(input.number<std::int32_t>()));
                    break;
                case 1:
                    patches.emplace_back(input.number<std::uint32_t>(), static_cast<char>(input.next()));
                    break;
                case 2:
                    copy_value(memory, input);
                    break;
                case 3:
                    grow(memory, input);
                    break;
                default:
                    edit_row(memory, input);
            }
        }
        for (const auto& [name, sql] : schema) {
            sqlite3_stmt* const put = memory.prepare(
                "UPDATE sqlite_schema SET sql = ? WHERE name = ? AND sql IS NOT ?1 AND sql LIKE 'CREATE TABLE " + name +
                " %'");
            if (put == nullptr) continue;
            sqlite3_bind_text(put, 1, sql.data(), static_cast<int>(sql.size()), SQLITE_TRANSIENT);
            sqlite3_bind_text(put, 2, name.data(), static_cast<int>(name.size()), SQLITE_TRANSIENT);
            sqlite3_step(put);
            sqlite3_finalize(put);
        }
        bytes = memory.bytes();
    }
    for (const auto& [at, byte] : patches)
        if (!bytes.empty()) bytes[at % bytes.size()] = byte;
    return bytes;
}

}  // namespace tattletone
