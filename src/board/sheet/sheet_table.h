#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "board/sheet/toml.h"

namespace tattletone::board {

struct TextPlace {
    int line = 0, column = 0;
};
TextPlace place_of(const toml::source_region& region);

/// 'a', 'b' and 3 more.
std::string list_briefly(const std::vector<std::string>& names);

/// Collects the errors of one sheet.
struct Diagnostics {
    std::string file;
    bool complete = true;  ///< false: do not complain about what is missing
    std::vector<SheetError> errors;
    std::size_t not_kept = 0;  ///< more errors than anybody reads
    void add(TextPlace place, std::string what, std::string todo);
};

/// One value of a table with its place.
template <class Value>
struct Found {
    Value value;
    TextPlace place;
};

struct Range {
    double low, high;
    bool low_included = true;
    const char* unit = "";
};

/// Typed access to one table. Each read marks its key as known and complains about a wrong type or
/// range; `finish` complains about the keys that nobody read.
class SheetTable {
  public:
    /// `what` names the table in messages: "part 'ranger'".
    SheetTable(const toml::table& table, TextPlace place, std::string what, Diagnostics& diagnostics)
        : table_(table), place_(place), what_(std::move(what)), diagnostics_(diagnostics) {}

    bool has(const char* key) const { return table_.contains(key); }
    TextPlace place() const { return place_; }
    TextPlace key_place(const char* key) const;
    const std::string& what() const { return what_; }
    void rename(std::string what) { what_ = std::move(what); }

    std::optional<Found<std::string>> text(const char* key);
    /// Letters, digits, - and _ only.
    std::optional<Found<std::string>> id(const char* key);
    std::optional<double> number(const char* key, Range range);
    bool flag(const char* key);
    /// A list of texts; `nothing` when the key is absent or no list.
    std::optional<std::vector<Found<std::string>>> texts(const char* key);
    /// Index of one of `words`.
    std::optional<int> word(const char* key, const std::vector<std::string>& words);
    /// The tables of [[key]], each with its place.
    std::vector<Found<const toml::table*>> tables(const char* key, const std::string& heading);
    const toml::table* table(const char* key, const std::string& heading);

    void complain(const char* key, std::string what, std::string todo);
    void missing(const std::string& keys, std::string todo);
    void finish();

  private:
    const toml::node* read(const char* key);
    void wrong_type(const toml::node& node, const char* key, const std::string& wanted);

    const toml::table& table_;
    TextPlace place_;
    std::string what_;
    Diagnostics& diagnostics_;
    std::vector<std::string> known_;
};

bool is_id(std::string_view text);
inline constexpr const char* id_rule = "Use letters, digits, - and _";

}  // namespace tattletone::board
