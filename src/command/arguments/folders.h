#pragma once

#include <string>

namespace tattletone::command {

/// What depends on the system and the user. The only file that asks the environment for it.

/// Where this user's data belong, for this program alone; empty where the system does not say.
/// Linux: XDG_DATA_HOME or ~/.local/share (XDG Base Directory Specification); macOS:
/// ~/Library/Application Support; Windows: %APPDATA%.
std::string user_data_folder();

/// The name under which the user is logged in; empty where the system does not say.
std::string user_name();

/// A variable of the environment; empty where it is not set.
std::string environment(const char* name);

}  // namespace tattletone::command
