#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "result.h"

namespace tattletone {

/// Writes a file whole or not at all: into a file beside it first, which then takes its name. What
/// stood there before stays until then.
std::optional<Error> write_whole_file(const std::string& path, std::string_view content);

}  // namespace tattletone
