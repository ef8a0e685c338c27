#include "support/skip.h"

#define CATCH_CONFIG_EXTERNAL_INTERFACES
#include <catch2/catch.hpp>
#include <iostream>

namespace {

std::string reason;
int sections_open = 0;

/// ctest takes the line for a skip even where the program failed, so a case that failed must not print it.
class SkipTeller : public Catch::TestEventListenerBase {
  public:
    using TestEventListenerBase::TestEventListenerBase;

    void testCaseStarting(const Catch::TestCaseInfo&) override {
        reason.clear();
        sections_open = 0;
    }
    void sectionStarting(const Catch::SectionInfo&) override { ++sections_open; }
    void sectionEnded(const Catch::SectionStats&) override { --sections_open; }
    void testCaseEnded(const Catch::TestCaseStats& stats) override {
        if (!reason.empty() && stats.totals.assertions.failed == 0) std::cout << "\nSKIPPED: " << reason << std::endl;
    }
};
CATCH_REGISTER_LISTENER(SkipTeller)

}  // namespace

void skip_test(const std::string& why) {
    // The case itself is one section.
    if (sections_open > 1) FAIL("skip_test() in a section: the others would run, and the case would count as skipped");
    reason = why;
    SUCCEED(why);  // a case without any assertion fails
    throw Catch::TestFailureException();
}
