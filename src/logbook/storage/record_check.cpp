#include "logbook/storage/record_check.h"

#include <cstdio>

#include "board/line_kinds.h"
#include "logbook/storage/sha256.h"
#include "match/json/findings_of_json.h"
#include "match/plausible.h"
#include "match/words.h"

namespace tattletone::logbook {
namespace {

// NaN is stored as NULL, which no comparison lets pass.
std::string within(const char* column, double low, double high) {
    char text[120];
    std::snprintf(text, sizeof text, "coalesce(%s >= %.17g AND %s <= %.17g, 0)", column, low, column, high);
    return text;
}

std::string frequency(const char* column) {
    return within(column, 0.0, match::highest_plausible_hz);
}
std::string level(const char* column) {
    return within(column, -match::most_plausible_db, match::most_plausible_db);
}
std::string probability(const char* column) {
    return within(column, 0.0, 1.0 + 1e-9);
}
std::string flag(const char* column) {
    return within(column, 0.0, 1.0);
}
std::string count(const char* column) {
    return within(column, 0.0, 1e15);
}
std::string or_null(const char* column, const std::string& judgement) {
    return "(" + std::string(column) + " IS NULL OR " + judgement + ")";
}

struct Rule {
    const char* table;
    std::string good;
};

std::vector<Rule> rules_for_numbers() {
    return {
        {"clip", within("sample_rate_hz", 1e-3, match::highest_plausible_hz) + " AND " + within("seconds", 0.0, 1e9) +
                     " AND " + count("bytes")},
        {"measurement", or_null("distance_cm", within("distance_cm", 0.0, 1e6))},
        {"take",
         count("position") + " AND " + flag("is_room") + " AND " + flag("is_far") + " AND length(floor) % 10 = 0"},
        {"tone", frequency("hz") + " AND " + frequency("hz_sd") + " AND " + level("level_dbfs") + " AND " +
                     level("tone_to_noise_db") + " AND " + or_null("probability", probability("probability")) +
                     " AND " +
                     or_null("line", within("line", -match::highest_plausible_order, match::highest_plausible_order))},
        {"suspect", probability("probability")},
        {"complaint",
         frequency("usable_low_hz") + " AND " + frequency("usable_high_hz") + " AND length(floor) % 10 = 0"},
    };
}

std::string is_id(const char* column) {
    return "(length(" + std::string(column) + ") = 36 AND " + column + " NOT GLOB '*[^0-9a-f-]*')";
}
std::string is_time(const char* column) {
    return "(length(" + std::string(column) + ") <= 40 AND " + column +
           " GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]*')";
}

std::vector<Rule> rules_for_names() {
    return {
        {"unit", is_id("id") + " AND " + is_time("added_at") + " AND " + or_null("retired_at", is_time("retired_at"))},
        {"measurement", is_id("id") + " AND " + is_time("measured_at")},
        {"opinion", is_id("id") + " AND " + is_time("said_at")},
        {"complaint",
         is_id("id") + " AND " + is_time("added_at") + " AND " + or_null("closed_at", is_time("closed_at"))},
        {"removed", is_id("id") + " AND " + is_time("removed_at")},
    };
}

template <class Row, std::size_t count>
std::string is_one_of(const char* column, const std::array<Row, count>& words) {
    return std::string(column) + " IN (" + base::all_words(words) + ")";
}

std::vector<Rule> rules_for_words() {
    return {{"tone", is_one_of("origin", match::origin_words) + " AND " +
                         or_null("kind", is_one_of("kind", board::line_kinds))}};
}

void apply(Database& database, const std::vector<Rule>& rules, const std::string& what,
           std::vector<std::string>& problems) {
    for (const Rule& rule : rules) {
        const std::string sql = "SELECT count(*) FROM " + std::string(rule.table) + " WHERE NOT (" + rule.good + ")";
        if (const auto bad = database.number(sql.c_str()); bad > 0)
            problems.push_back("The table '" + std::string(rule.table) + "' has " + std::to_string(bad) +
                               (bad == 1 ? " entry with " : " entries with ") + what + ".");
    }
}

// Sizes are judged when an entry is read.
void read_all(Database& database, std::vector<std::string>& problems) {
    std::vector<std::string> tables;
    for (auto row = database.query("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY rowid"); row.step();)
        tables.push_back(row.text(0));
    for (const std::string& table : tables) {
        for (auto row = database.query(("SELECT * FROM " + table).c_str()); row.step();) {
        }
        if (database.failed())
            problems.push_back("The table '" + table + "' cannot be read to its end: " + database.take_error().what +
                               ".");
    }
}

constexpr const char* is_hash = "length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*'";

}  // namespace

std::vector<std::string> problems_of_records(Database& database) {
    std::vector<std::string> problems;
    for (auto row = database.query("PRAGMA main.integrity_check(1)"); row.step();)
        if (row.text(0) != "ok")
            problems.push_back(
                "The file is damaged inside: keep a copy of it as it is and go on "
                "with the latest backup.");
    if (problems.empty()) read_all(database, problems);
    if (!problems.empty()) return problems;
    for (auto row = database.query("SELECT \"table\", parent, count(*) FROM pragma_foreign_key_check GROUP BY 1, 2");
         row.step();)
        problems.push_back((row.integer(2) == 1 ? "An entry" : std::to_string(row.integer(2)) + " entries") + " of '" +
                           row.text(0) + "' " + (row.integer(2) == 1 ? "belongs" : "belong") + " to an entry of '" +
                           row.text(1) + "' that is not there.");
    for (auto row = database.query("SELECT name, hash, text FROM sheet"); row.step();)
        if (sha256_of(row.text(2)) != row.text(1))
            problems.push_back("The board sheet of '" + row.text(0) + "' is not the one that was stored.");
    for (const char* table : {"measurement", "complaint"})
        for (auto row = database.query(("SELECT id, findings FROM " + std::string(table)).c_str()); row.step();)
            if (const auto findings = match::findings_of_json(row.text(1)); !findings)
                problems.push_back("The findings of " + std::string(table) + " " + row.text(0) +
                                   " cannot be read: " + to_sentence(findings.error()));
    apply(database, rules_for_words(), "a word that this tattletone does not know", problems);
    apply(database, rules_for_names(), "a name or a time that no tattletone wrote", problems);
    apply(database, rules_for_numbers(), "a number that no measurement gives", problems);
    return problems;
}

long long clips_without_hash(Database& database) {
    return database.number(("SELECT count(*) FROM clip WHERE NOT (" + std::string(is_hash) + ")").c_str());
}

void drop_clips_without_hash(Database& database) {
    const std::string bad = "(SELECT hash FROM clip WHERE NOT (" + std::string(is_hash) + "))";
    database.run(("UPDATE take SET clip = NULL WHERE clip IN " + bad).c_str());
    database.run(("UPDATE complaint SET clip = NULL WHERE clip IN " + bad).c_str());
    database.run(("DELETE FROM clip WHERE hash IN " + bad).c_str());
}

}  // namespace tattletone::logbook
