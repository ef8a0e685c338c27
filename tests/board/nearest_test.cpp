#include "board/sheet/nearest.h"
#include "support/names.h"

#include <catch2/catch.hpp>

using namespace tattletone;

namespace {

const std::vector<std::string> words{"hz", "frame", "dimming", "typical_ma"};

}  // namespace

TEST_CASE("a slip of a third of the letters is forgiven, one more is not") {
    CHECK(nearest_word("frame", words) == "frame");
    CHECK(nearest_word("frme", words) == "frame");
    CHECK(nearest_word("farme", words) == "frame");  // neighbours swapped are one slip
    CHECK(nearest_word("frxxe", words).empty());     // 2 of 5
    CHECK(nearest_word("dimxxng", words) == "dimming");
    CHECK(nearest_word("dixxxng", words).empty());  // 3 of 7
    CHECK(nearest_word("h", words) == "hz");        // one slip always
    CHECK(nearest_word("qq", words).empty());
    CHECK(nearest_word("", words).empty());
    CHECK(nearest_word(std::string(65, 'h'), words).empty());
}

TEST_CASE("capitals and dashes are no slips, and the nearer word wins") {
    CHECK(nearest_word("Typical-mA", words) == "typical_ma");
    CHECK(nearest_word("frames", std::vector<std::string>{"flames", "frame"}) == "flames");  // the first of equals
    CHECK(nearest_word("framez", std::vector<std::string>{"flames", "frame"}) == "frame");
}
