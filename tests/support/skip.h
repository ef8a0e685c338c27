#pragma once

#include <string>

/// Ends a test case that lacks what it needs and makes ctest count it as skipped, not as passed: `SKIPPED: ` and the
/// reason stand in its output. For a whole case only, before its checks: what can run and what cannot are two cases.
[[noreturn]] void skip_test(const std::string& why);
