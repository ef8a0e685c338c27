#pragma once

#include "command/verb.h"

namespace tattletone {

/// The whole program behind main: picks the verb, runs it, returns the exit status.
int run_program(const Arguments& arguments);

}  // namespace tattletone
