#pragma once

#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdio>
#include <string>

#include "sound/clip/clip_reader.h"

namespace clip_maker {

/// The clip that stands on standard input while that is `descriptor`.
inline auto read_from(int descriptor) {
    const int kept = dup(STDIN_FILENO);
    REQUIRE(dup2(descriptor, STDIN_FILENO) == STDIN_FILENO);
    std::clearerr(stdin);
    auto clip = tattletone::sound::read_clip("-");
    dup2(kept, STDIN_FILENO);
    close(kept);
    std::clearerr(stdin);
    return clip;
}

/// The file through a pipe, whose length nobody knows.
inline auto read_piped(const std::string& path) {
    std::FILE* pipe = popen(("cat " + path).c_str(), "r");
    REQUIRE(pipe != nullptr);
    auto clip = read_from(fileno(pipe));
    pclose(pipe);
    return clip;
}

}  // namespace clip_maker
