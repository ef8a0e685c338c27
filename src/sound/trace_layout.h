#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tattletone {

/// How a row of a trace is split and its numbers are written.
struct TraceRow {
    char separator = ',';                ///< ' ': runs of spaces and tabs
    char decimal = '.';
};

void split_row(std::string_view line, char separator, std::vector<std::string_view>& fields);

enum class FieldKind { number, missing, over_range, text };

/// A value, maybe with a unit behind it. Over range gives plus or minus infinity. `OL` and the like, and the
/// values of SCPI 1999 for "not a number" (9.91E37) and "infinity" (9.9E37), count.
struct Field {
    FieldKind kind = FieldKind::text;
    double value = std::numeric_limits<double>::quiet_NaN();
};
Field read_field(std::string_view text, char decimal);

/// Times a base unit: {1e-6, "s"} for us, {1e-3, "V"} for mV. Nothing for a text that is no unit of time,
/// voltage or current. Brackets around it do not matter.
struct ScaledUnit {
    double scale = 1.0;
    std::string base;
};
std::optional<ScaledUnit> read_unit(std::string_view text);

/// What the first lines of a file tell of all of it.
struct TraceLayout {
    TraceRow row;
    std::size_t first_line = 0;          ///< index of the first row of data
    std::vector<std::size_t> columns;    ///< fields that hold data
    std::vector<std::string> names;      ///< by column, may be empty
    std::vector<std::optional<ScaledUnit>> units;
    int time = -1;                       ///< index into columns; -1: none
    int index = -1;                      ///< a column that counts rows; -1: none
    std::optional<double> increment_seconds, start_seconds;   ///< as the header states them
};

/// `lines`: the beginning of the file, all of it where it is short. Nothing where no two rows of numbers are found.
std::optional<TraceLayout> layout_of(const std::vector<std::string>& lines);

std::string lower_case(std::string_view text);

}  // namespace tattletone
