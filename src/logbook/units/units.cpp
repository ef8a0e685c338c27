#include "logbook/units/units.h"

#include <algorithm>
#include <cctype>

#include "logbook/units/identity.h"

namespace tattletone::logbook {
namespace {

constexpr std::size_t longest_serial = 200;

#define UNIT_COLUMNS                                                                               \
    "unit.id, unit.serial, unit.sheet, sheet.name, sheet.revision, unit.batch, unit.firmware, "    \
    "unit.note, unit.added_at, coalesce(unit.retired_at, ''), "                                    \
    "(SELECT count(*) FROM measurement WHERE measurement.unit = unit.id), "                        \
    "coalesce(newest.measured_at, ''), coalesce(newest.verdict, ''), coalesce(newest.answer, '') " \
    "FROM unit JOIN sheet ON sheet.hash = unit.sheet "                                             \
    "LEFT JOIN measurement AS newest ON newest.number = (SELECT number FROM measurement "          \
    "WHERE measurement.unit = unit.id ORDER BY measured_at DESC, number DESC LIMIT 1) "

Unit unit_of(const Statement& row) {
    Unit unit;
    int column = 0;
    for (std::string* text : {&unit.id, &unit.serial, &unit.sheet, &unit.board, &unit.revision, &unit.batch,
                              &unit.firmware, &unit.note, &unit.added_at, &unit.retired_at})
        *text = row.text(column++);
    unit.measurements = row.integer(column++);
    for (std::string* text : {&unit.measured_at, &unit.verdict, &unit.answer}) *text = row.text(column++);
    return unit;
}

std::optional<Error> judge_serial(Database& database, const std::string& serial) {
    if (serial.empty() || serial.size() > longest_serial)
        return Error{"serial '" + serial.substr(0, 40) + "'",
                     serial.empty() ? "it is empty" : "it is longer than 200 bytes",
                     "Give the serial number as it stands on the board"};
    auto taken = database.query("SELECT 1 FROM unit WHERE serial = ?", serial);
    if (taken.step())
        return Error{"unit '" + serial + "'", "there is a unit with this serial number already",
                     "'tattletone unit show " + serial + "' shows it; give another serial number"};
    return std::nullopt;
}

// "9" before "10": runs of digits compare by value.
bool before(const std::string& a, const std::string& b) {
    std::size_t i = 0, j = 0;
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    while (i < a.size() && j < b.size()) {
        if (!digit(a[i]) || !digit(b[j])) {
            if (a[i] != b[j]) return a[i] < b[j];
            ++i, ++j;
            continue;
        }
        while (i < a.size() && a[i] == '0') ++i;
        while (j < b.size() && b[j] == '0') ++j;
        std::size_t p = i, q = j;
        while (p < a.size() && digit(a[p])) ++p;
        while (q < b.size() && digit(b[q])) ++q;
        if (p - i != q - j) return p - i < q - j;
        if (const int order = a.compare(i, p - i, b, j, q - j); order != 0) return order < 0;
        i = p, j = q;
    }
    return a.size() - i < b.size() - j || (a.size() - i == b.size() - j && a < b);
}

}  // namespace

void record_sheet(Database& database, const KeptSheet& sheet) {
    database.run("INSERT INTO sheet VALUES (?, ?, ?, ?) ON CONFLICT (hash) DO NOTHING", sheet.hash, sheet.name,
                 sheet.revision, sheet.text);
}

Result<KeptSheet> find_sheet(Logbook& logbook, const std::string& hash) {
    Database& database = logbook.database();
    auto row = database.query("SELECT hash, name, revision, text FROM sheet WHERE hash = ?", hash);
    if (row.step()) return KeptSheet{row.text(0), row.text(1), row.text(2), row.text(3)};
    if (database.failed()) return database.take_error();
    return Error{logbook.path(), "a board sheet is missing from the logbook", "Run 'tattletone logbook check'"};
}

Result<Unit> add_unit(Logbook& logbook, const Unit& wanted, const KeptSheet& sheet) {
    Database& database = logbook.database();
    Unit unit = wanted;
    {
        Transaction transaction(database);
        if (auto error = judge_serial(database, unit.serial)) return *error;
        unit.id = new_id();
        record_sheet(database, sheet);
        database.run("INSERT INTO unit VALUES (?, ?, ?, ?, ?, ?, ?, NULL)", unit.id, unit.serial, sheet.hash,
                     unit.batch, unit.firmware, unit.note, now_utc());
        if (auto error = transaction.commit()) return *error;
    }
    return find_unit(logbook, unit.id);
}

Result<std::vector<Unit>> list_units(Logbook& logbook, const UnitFilter& filter) {
    Database& database = logbook.database();
    std::string sql = "SELECT " UNIT_COLUMNS "WHERE 1";
    if (!filter.batch.empty()) sql += " AND unit.batch = ?1";
    if (!filter.board.empty()) sql += " AND sheet.name = ?2";
    if (!filter.firmware.empty()) sql += " AND unit.firmware = ?3";
    if (!filter.retired_too) sql += " AND unit.retired_at IS NULL";
    std::vector<Unit> units;
    for (auto row = database.query(sql.c_str(), filter.batch, filter.board, filter.firmware); row.step();)
        units.push_back(unit_of(row));
    if (database.failed()) return database.take_error();
    std::sort(units.begin(), units.end(), [](const Unit& a, const Unit& b) { return before(a.serial, b.serial); });
    return units;
}

Result<Unit> find_unit(Logbook& logbook, const std::string& serial_or_id) {
    Database& database = logbook.database();
    std::vector<Unit> found;
    for (auto row = database.query("SELECT " UNIT_COLUMNS "WHERE unit.serial = ?", serial_or_id); row.step();)
        found.push_back(unit_of(row));
    const bool hexadecimal =
        serial_or_id.size() >= 4 && serial_or_id.find_first_not_of("0123456789abcdef-") == std::string::npos;
    if (found.empty() && hexadecimal)
        for (auto row =
                 database.query("SELECT " UNIT_COLUMNS "WHERE unit.id >= ?1 AND unit.id < ?1 || 'g'", serial_or_id);
             row.step();)
            found.push_back(unit_of(row));
    if (database.failed()) return database.take_error();
    if (found.size() == 1) return found[0];
    if (found.empty())
        return Error{"unit '" + serial_or_id + "'", "the logbook has no such unit",
                     "'tattletone unit list --retired' shows all; 'tattletone unit add' adds one"};
    std::string ids;
    for (const Unit& unit : found) ids += (ids.empty() ? "" : " or ") + unit.id.substr(0, 8);
    return Error{"unit '" + serial_or_id + "'",
                 std::to_string(found.size()) + " units have this serial number, from several benches",
                 "Give " + ids + " instead, or rename one"};
}

std::optional<Error> rename_unit(Logbook& logbook, const std::string& id, const std::string& serial) {
    Database& database = logbook.database();
    Transaction transaction(database);
    if (auto error = judge_serial(database, serial)) return error;
    database.run("UPDATE unit SET serial = ? WHERE id = ?", serial, id);
    return transaction.commit();
}

std::optional<Error> retire_unit(Logbook& logbook, const std::string& id, bool retired) {
    Database& database = logbook.database();
    Transaction transaction(database);
    database.run("UPDATE unit SET retired_at = ? WHERE id = ?",
                 retired ? std::optional<std::string>(now_utc()) : std::nullopt, id);
    return transaction.commit();
}

}  // namespace tattletone::logbook
