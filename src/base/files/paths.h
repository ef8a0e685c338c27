#pragma once

#include <filesystem>
#include <string>

namespace tattletone::base {

/// Paths travel through the program as UTF-8 text; the system gets them in its own form. Both directions
/// keep bytes that are no UTF-8 where the system's paths are bytes.
std::filesystem::path path_of(const std::string& utf8);
std::string utf8_of(const std::filesystem::path& path);

/// Where the file stands; "." for a mere name.
std::filesystem::path folder_of(const std::filesystem::path& file);

}  // namespace tattletone::base
