#include "board/sheet/sheet_table.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "base/text/printable.h"
#include "board/sheet/nearest.h"

namespace tattletone::board {
namespace {

std::string quoted_list(const std::vector<std::string>& words) {
    std::string list;
    for (std::size_t i = 0; i < words.size(); ++i)
        list += (i == 0 ? "'" : i + 1 == words.size() ? " or '" : ", '") + words[i] + "'";
    return list;
}

std::string type_name(const toml::node& node) {
    if (node.is_string()) return "text";
    if (node.is_number()) return "a number";
    if (node.is_boolean()) return "true or false";
    if (node.is_array()) return "a list";
    if (node.is_table()) return "a table";
    return "a date or time";
}

}  // namespace

std::string list_briefly(const std::vector<std::string>& names) {
    constexpr std::size_t most_names = 12;
    std::string list;
    for (std::size_t i = 0; i < names.size() && i < most_names; ++i)
        list += (i == 0 ? "'" : ", '") + base::briefly(names[i]) + "'";
    if (names.size() > most_names) list += " and " + std::to_string(names.size() - most_names) + " more";
    return list;
}

void Diagnostics::add(TextPlace place, std::string what, std::string todo) {
    constexpr std::size_t most_kept = 1000;
    if (errors.size() < most_kept)
        errors.push_back({file, place.line, place.column, std::move(what), std::move(todo)});
    else
        ++not_kept;
}

TextPlace place_of(const toml::source_region& region) {
    return {static_cast<int>(region.begin.line), static_cast<int>(region.begin.column)};
}

bool is_id(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    });
}

const toml::node* SheetTable::read(const char* key) {
    known_.emplace_back(key);
    return table_.get(key);
}

TextPlace SheetTable::key_place(const char* key) const {
    for (const auto& [name, node] : table_)
        if (name.str() == key) return place_of(name.source());
    return place_;
}

void SheetTable::complain(const char* key, std::string what, std::string todo) {
    const toml::node* node = table_.get(key);
    diagnostics_.add(node != nullptr ? place_of(node->source()) : place_, std::move(what), std::move(todo));
}

void SheetTable::wrong_type(const toml::node& node, const char* key, const std::string& wanted) {
    std::string todo = "Write " + wanted;
    if (wanted == "a number" && node.is_string()) todo += " without quotes";
    if (wanted == "text" && !node.is_array_of_tables()) todo += " in double quotes";
    diagnostics_.add(place_of(node.source()), "'" + std::string(key) + "' of " + what_ + " is " + type_name(node),
                     todo);
}

std::optional<Found<std::string>> SheetTable::text(const char* key) {
    const toml::node* node = read(key);
    if (node == nullptr) return std::nullopt;
    const auto value = node->value_exact<std::string>();
    if (!value) {
        wrong_type(*node, key, "text");
        return std::nullopt;
    }
    if (value->empty()) {
        complain(key, "'" + std::string(key) + "' of " + what_ + " is empty", "Give it a text or leave it out");
        return std::nullopt;
    }
    return Found<std::string>{*value, place_of(node->source())};
}

std::optional<Found<std::string>> SheetTable::id(const char* key) {
    auto found = text(key);
    if (!found || is_id(found->value)) return found;
    diagnostics_.add(found->place, "'" + base::briefly(found->value) + "' cannot be the " + key + " of " + what_,
                     id_rule);
    return std::nullopt;
}

std::optional<double> SheetTable::number(const char* key, Range range) {
    const toml::node* node = read(key);
    if (node == nullptr) return std::nullopt;
    if (!node->is_number()) {
        wrong_type(*node, key, "a number");
        return std::nullopt;
    }
    const double value =
        node->is_integer() ? static_cast<double>(node->as_integer()->get()) : node->as_floating_point()->get();
    const bool low_enough = std::isfinite(value) && value <= range.high;
    const bool high_enough = range.low_included ? value >= range.low : value > range.low;
    if (low_enough && high_enough) return value;
    char text[200];
    std::snprintf(text, sizeof text, "'%s' of %s is %g", key, what_.c_str(), value);
    char todo[120];
    std::snprintf(todo, sizeof todo, "Give a number %s %g and at most %g%s", range.low_included ? "from" : "above",
                  range.low, range.high, range.unit);
    complain(key, text, todo);
    return std::nullopt;
}

bool SheetTable::flag(const char* key) {
    const toml::node* node = read(key);
    if (node == nullptr) return false;
    if (const auto value = node->value_exact<bool>()) return *value;
    wrong_type(*node, key, "true or false");
    return false;
}

std::optional<std::vector<Found<std::string>>> SheetTable::texts(const char* key) {
    const toml::node* node = read(key);
    if (node == nullptr) return std::nullopt;
    const toml::array* list = node->as_array();
    if (list == nullptr) {
        wrong_type(*node, key, "a list, as in [\"idle\", \"ranging\"]");
        return std::nullopt;
    }
    std::vector<Found<std::string>> found;
    for (const toml::node& entry : *list) {
        const auto value = entry.value_exact<std::string>();
        if (value)
            found.push_back({*value, place_of(entry.source())});
        else
            diagnostics_.add(place_of(entry.source()), "an entry of '" + std::string(key) + "' is " + type_name(entry),
                             "Write text in double quotes");
    }
    if (found.empty() && !list->empty()) return std::nullopt;
    return found;
}

std::optional<int> SheetTable::word(const char* key, const std::vector<std::string>& words) {
    const auto found = text(key);
    if (!found) return std::nullopt;
    const auto at = std::find(words.begin(), words.end(), found->value);
    if (at != words.end()) return static_cast<int>(at - words.begin());
    diagnostics_.add(found->place,
                     "'" + base::briefly(found->value) + "' is no " + key + " that " + what_ + " can have",
                     "Write " + quoted_list(words));
    return std::nullopt;
}

std::vector<Found<const toml::table*>> SheetTable::tables(const char* key, const std::string& heading) {
    const toml::node* node = read(key);
    std::vector<Found<const toml::table*>> found;
    if (node == nullptr) return found;
    const toml::array* list = node->as_array();
    if (list == nullptr) {
        diagnostics_.add(node->is_table() ? place_of(node->source()) : key_place(key),
                         "'" + std::string(key) + "' is " + type_name(*node) + " here",
                         "Start each with the line " + heading);
        return found;
    }
    for (const toml::node& entry : *list) {
        if (const toml::table* table = entry.as_table())
            found.push_back({table, place_of(table->source())});
        else
            diagnostics_.add(place_of(entry.source()), "an entry of '" + std::string(key) + "' is " + type_name(entry),
                             "Start each with the line " + heading);
    }
    return found;
}

const toml::table* SheetTable::table(const char* key, const std::string& heading) {
    const toml::node* node = read(key);
    if (node == nullptr) return nullptr;
    if (node->is_table()) return node->as_table();
    diagnostics_.add(place_of(node->source()), "'" + std::string(key) + "' is " + type_name(*node),
                     "Write the line " + heading + " once, without doubled brackets");
    return nullptr;
}

void SheetTable::missing(const std::string& keys, std::string todo) {
    if (diagnostics_.complete) diagnostics_.add(place_, what_ + " has no " + keys, std::move(todo));
}

void SheetTable::finish() {
    for (const auto& [key, node] : table_) {
        const std::string name(key.str());
        if (std::find(known_.begin(), known_.end(), name) != known_.end()) continue;
        const std::string nearest = nearest_word(name, known_);
        std::string todo;
        if (!nearest.empty()) {
            todo = "Did you mean '" + nearest + "'? Else leave it out";
        } else {
            todo = "Leave it out; known are";
            for (std::size_t i = 0; i < known_.size(); ++i) todo += (i == 0 ? " " : ", ") + known_[i];
        }
        diagnostics_.add(place_of(key.source()), "'" + base::briefly(name) + "' is no key of " + what_, todo);
    }
}

}  // namespace tattletone::board
