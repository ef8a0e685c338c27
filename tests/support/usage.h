#pragma once

#include <cstdio>
#include <cstdlib>

namespace tattletone {

/// What `read` makes of a command line. Where it cannot, the program ends with `usage` and status 2.
template <class Options>
Options options_or_usage(int argc, char** argv, bool (*read)(int, char**, Options&), const char* usage) {
    Options options;
    if (read(argc, argv, options)) return options;
    std::fputs(usage, stderr);
    std::exit(2);
}

}  // namespace tattletone
