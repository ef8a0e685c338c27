#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tattletone::scope {

/// How a row of a trace is split and its numbers are written.
struct TraceRow {
    char separator = ',';  ///< ' ': runs of spaces and tabs
    char decimal = '.';
};

void split_row(std::string_view line, char separator, std::vector<std::string_view>& fields);

/// Without spaces and quotation marks around it.
std::string_view trimmed_field(std::string_view text);

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

}  // namespace tattletone::scope
