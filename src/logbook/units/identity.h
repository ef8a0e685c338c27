#pragma once

#include <string>
#include <string_view>

namespace tattletone::logbook {

/// A random UUID (RFC 9562, version 4) in lower case. Records made on two benches never share one.
std::string new_id();

/// Is it written as those are: 36 digits and dashes in their places?
bool is_record_id(std::string_view text);

/// The time now in UTC, ISO 8601 with milliseconds: "2031-04-05T06:07:08.123Z". Sorts as text.
std::string now_utc();

}  // namespace tattletone::logbook
