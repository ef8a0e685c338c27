#include <catch2/catch.hpp>

#include <string>

#include "board/line_kinds.h"
#include "match/explain/wording.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

std::string name(LineKind kind, int order) {
    return line_text(about(kind).name, {order, 3, "a.b", "c.d"});
}
std::string in_reasons(LineKind kind, int order) {
    return line_text(about(kind).in_reasons, {order, 3, "a.b", "c.d"});
}

}  // namespace

TEST_CASE("a line is named by the texts of its kind") {
    const struct {
        LineKind kind;
        int order;
        const char *name, *in_reasons;
    } lines[] = {
        {LineKind::harmonic, 1, "fundamental of a.b", "the rate itself"},
        {LineKind::harmonic, 12, "12th harmonic of a.b", "the 12th harmonic"},
        {LineKind::subharmonic, 1, "1/2 of a.b", "half the rate"},
        {LineKind::subharmonic, 3, "3/2 of a.b", "3/2 of the rate"},
        {LineKind::sideband, -1, "sideband -1 of a.b by c.d", "the lower sideband of the 3rd harmonic by c.d"},
        {LineKind::sideband, 2, "sideband +2 of a.b by c.d", "the upper 2nd sideband of the 3rd harmonic by c.d"},
        {LineKind::image, 22, "image of the 22nd harmonic of a.b", "the image of the 22nd harmonic in the recorder"},
        {LineKind::beat, 2, "beat of a.b and c.d", "the beat with c.d"},
    };
    for (const auto& line : lines) {
        CHECK(name(line.kind, line.order) == line.name);
        CHECK(in_reasons(line.kind, line.order) == line.in_reasons);
    }
}

TEST_CASE("the row of a kind of line has all its texts, and no name in braces that nobody fills in") {
    for (const LineKindRow& row : line_kinds) {
        INFO(row.word);
        CHECK((row.heading != nullptr) == (row.listed.any != nullptr));
        for (const LineText& text : {row.name, row.in_reasons, row.listed}) {
            if (text.any == nullptr) continue;
            for (const int order : {-2, 1, 2}) CHECK_THAT(line_text(text, {order, 1, "", ""}), !Contains("{"));
        }
        REQUIRE(row.name.any != nullptr);
        REQUIRE(row.in_reasons.any != nullptr);
    }
}

TEST_CASE("a name with braces stays as it is written") {
    CHECK(line_text({"{rate} by {other}"}, {1, 0, "{other}", "{x"}) == "{other} by {x");
}
