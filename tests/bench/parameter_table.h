#pragma once

#include <string>

#include "match/model/parameters.h"
#include "support/names.h"

namespace tattletone::bench {

/// The text of src/match/model/parameters_table.inc: nothing but what the values and the entries say.
std::string table_text(const MatchParameters& parameters);

/// As the table will have it: four digits.
double as_printed(double value);

/// A value on the entry's scale, in spreads from its start: what the search moves.
double offset_of(const ParameterEntry& entry, double value);
double value_at(const ParameterEntry& entry, double offset);

/// Where the search begins: every entry's start.
MatchParameters starting_parameters();

}  // namespace tattletone::bench
