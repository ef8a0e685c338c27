#pragma once

#include <cstdlib>

#include "base/result.h"
#include "support/names.h"

namespace tattletone {

/// An error says where, what and what to do, in characters that a terminal may print.
inline void check_error(const Error& error, const std::string& path) {
    if (error.where != path || error.what.empty() || error.todo.empty()) std::abort();
    for (const char c : to_sentence(error))
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) std::abort();
}

}  // namespace tattletone
