#pragma once

// The TOML library, compiled in. What it takes for granted of its input it leaves undefined where that does not hold; here
// it throws instead, so that a sheet which breaks it is a sheet with an error. Include it by this header only.

namespace tattletone {
struct BeyondTomlLibrary {};
[[noreturn]] inline void beyond_toml_library() { throw BeyondTomlLibrary{}; }
}  // namespace tattletone

#pragma push_macro("NDEBUG")
#undef NDEBUG  // else the library tells the compiler that its assertions hold
#define TOML_HEADER_ONLY 1
#define TOML_ASSERT(expr) ((expr) ? static_cast<void>(0) : tattletone::beyond_toml_library())
#include <toml++/toml.h>
#pragma pop_macro("NDEBUG")
#include <cassert>  // as the rest of the program has it
