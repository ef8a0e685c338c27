#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace tattletone::scope {

/// One measured column of an oscilloscope's file.
struct TraceColumn {
    std::string name;            ///< from the header, "column 2" where there is none
    std::string unit;            ///< "V" (also where the file does not say), "A" or as the file says
    std::vector<float> values;   ///< volts or amperes where the unit is; NaN: no value there
    std::size_t missing = 0;     ///< rows without a value
    std::size_t off_screen = 0;  ///< rows in which the scope said over range; they hold the nearest extreme
};

/// A trace, evenly sampled.
struct TraceFile {
    std::string origin;  ///< the path, "standard input"
    double increment_seconds = 0.0;
    double increment_sd = 0.0;  ///< relative, from the resolution of the printed times; 0 where the file states it
    double start_seconds = 0.0;
    std::vector<TraceColumn> columns;  ///< all equally long, at least two rows
    std::vector<std::string> notices;  ///< whole sentences
    std::size_t rows() const { return columns.empty() ? 0 : columns.front().values.size(); }
    double seconds() const { return increment_seconds * static_cast<double>(rows()); }
};

/// Reads text with one row a sample: columns split by comma, semicolon, tab or spaces; decimal point or
/// comma; names, units, remarks and settings (start, increment, sample rate) above, in a second row of the
/// header or in columns to the left; UTF-8 or UTF-16. The increment is fitted to all times, so coarsely
/// printed ones do no harm; uneven ones are resampled on straight lines, with a notice. `-`: standard input.
/// `increment_seconds`: of rows without times, from the caller; it goes before what the file says.
/// Errors name the line, what is wrong and what would be right.
Result<TraceFile> read_trace(const std::string& path, std::optional<double> increment_seconds = {});

}  // namespace tattletone::scope
