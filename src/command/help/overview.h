#pragma once

#include <string>

namespace tattletone {

/// The verbs and the topics, as `tattletone --help` shows them.
std::string help_overview();

}  // namespace tattletone
