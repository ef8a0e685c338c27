#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scope/trace_fields.h"

namespace tattletone::scope {

/// What the first lines of a file tell of all of it.
struct TraceLayout {
    TraceRow row;
    std::size_t first_line = 0;        ///< index of the first row of data
    std::vector<std::size_t> columns;  ///< fields that hold data
    std::vector<std::string> names;    ///< by column, may be empty
    std::vector<std::optional<ScaledUnit>> units;
    int time = -1;                                           ///< index into columns; -1: none
    int index = -1;                                          ///< a column that counts rows; -1: none
    std::optional<double> increment_seconds, start_seconds;  ///< as the header states them
};

/// `lines`: the beginning of the file, all of it where it is short. Nothing where no two rows of numbers are found.
std::optional<TraceLayout> layout_of(const std::vector<std::string>& lines);

}  // namespace tattletone::scope
