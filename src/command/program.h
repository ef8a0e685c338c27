#pragma once

#include "command/verbs/verb.h"

namespace tattletone::command {

/// The whole program behind main: picks the verb, runs it, returns the exit status.
int run_program(const Arguments& arguments);

}  // namespace tattletone::command
