#pragma once

#include <string>
#include <string_view>

namespace tattletone::base {

/// A random UUID (RFC 9562, version 4) in lower case.
std::string random_uuid();

/// Of that form, 36 letters.
bool is_uuid(std::string_view text);

}  // namespace tattletone::base
