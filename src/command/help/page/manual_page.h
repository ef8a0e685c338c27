#pragma once

#include <string>

namespace tattletone::command {

/// The whole manual as a page for man(1): the verbs, then every topic as a section. Only the man
/// macros, and ASCII: other characters are written as \[uXXXX].
std::string manual_page();

}  // namespace tattletone::command
