#pragma once

#include <string>

namespace tattletone::command {

/// The verbs and the topics, as `tattletone --help` shows them.
std::string help_overview();

}  // namespace tattletone::command
