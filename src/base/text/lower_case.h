#pragma once

#include <string>
#include <string_view>

namespace tattletone::base {

/// ASCII letters made small, in every locale; other bytes stay.
std::string lower_case(std::string_view text);

}  // namespace tattletone::base
