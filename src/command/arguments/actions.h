#pragma once

#include <span>
#include <string_view>

#include "command/verbs/verb.h"

namespace tattletone::command {

/// A verb of several actions ("unit add", "unit list"): picks the action by the first argument, shows
/// them with --help, and tells an unknown one.
int run_action(std::string_view verb, std::string_view summary, std::span<const Verb> actions,
               const Arguments& arguments);

}  // namespace tattletone::command
