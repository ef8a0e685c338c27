#include <catch2/catch.hpp>

#include <cstdlib>
#include <fstream>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "report/html/page.h"
#include "report/sample_findings.h"
#include "support/names.h"
#include "support/sheets.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

const std::string heron = scenes::sheet_text("heron_three_parts");

// Every element is closed in the order of opening; the page uses no markup that a tag-by-tag walk
// would not understand (HTML Living Standard 13.1.2: meta and line etc. are void or self-closing).
std::string first_unbalanced(const std::string& html) {
    std::vector<std::string> open;
    for (std::size_t at = html.find('<'); at != std::string::npos; at = html.find('<', at + 1)) {
        const std::size_t end = html.find('>', at);
        if (end == std::string::npos) return "no end";
        const std::string inside = html.substr(at + 1, end - at - 1);
        const std::string name = inside.substr(0, inside.find_first_of(" \n/"));
        if (inside[0] == '!' || inside.back() == '/' || name == "meta" || name == "br") continue;
        if (inside[0] != '/') {
            open.push_back(name);
        } else if (open.empty() || open.back() != inside.substr(1)) {
            return inside;
        } else {
            open.pop_back();
        }
    }
    return open.empty() ? "" : open.back();
}

std::size_t count(const std::string& text, const std::string& what) {
    std::size_t found = 0;
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++found;
    return found;
}

}  // namespace

TEST_CASE("the page holds the answer first, and all of it") {
    const auto sheet = parse_sheet(heron, "s").sheet;
    REQUIRE(sheet);
    const std::string html = findings_page(sample::named(), &*sheet);
    CHECK(first_unbalanced(html).empty());
    CHECK(html.find("<h1>Two rates are singing") < html.find("<h2>"));
    CHECK_THAT(html, Contains("9599.83 ± 0.17"));
    CHECK_THAT(html, Contains("<h3>For</h3>"));
    for (const auto& [first, second] : {std::pair{"<h1>", "Heard best at"},
                                        {"Heard best at", "<h3>For"},
                                        {"<h3>For", "<h3>Against"},
                                        {"<h3>Against", "<h3>Others"},
                                        {"<h3>Others", "<h3>Open"},
                                        {"<h3>Open", "<h3>Careful"},
                                        {"<h3>Careful", "What to try next"},
                                        {"What to try next", "<h2>Picture"}})
        CHECK(html.find(first) < html.find(second));
    CHECK_THAT(html, Contains("5 s: <code>--room FILE</code>"));
    CHECK_THAT(html, Contains("Prominent by ratio"));
    for (const char* caution : {"ear belongs at the board", "moved, or a load that is added",
                                "clip it to a board that floats", "in headphones"})
        CHECK_THAT(html, Contains(caution));
    CHECK_THAT(html, Contains("no criterion above 11.2 kHz"));
    CHECK_THAT(html, Contains("Two lines agree on one deviation"));
    CHECK_THAT(html, Contains("<li>Only the first 64 multiples"));
    CHECK_THAT(html, Contains("licensed"));
    CHECK(count(html, "class=\"head\"") == 3);
    CHECK(count(html, "class=\"otherhead\"") == 1);
    CHECK(count(html, "class=\"met\"") == 3);
    CHECK(count(html, "http") == 0);
    if (const char* path = std::getenv("TATTLETONE_PAGE")) std::ofstream(path) << html;
}

TEST_CASE("a picture that shows some of the suspects says so") {
    const auto sheet = parse_sheet(heron, "s").sheet;
    REQUIRE(sheet);
    Findings findings = sample::named();
    CHECK(findings_page(findings, &*sheet).find("likeliest are drawn") == std::string::npos);
    while (findings.suspects.size() < 7) findings.suspects.push_back(findings.suspects.back());
    CHECK_THAT(findings_page(findings, &*sheet), Contains("The 5 likeliest are drawn, of 7."));
}

TEST_CASE("names cannot break the page, and other answers have a page too") {
    Findings findings = sample::named();
    findings.board = "<script>alert(1)</script>";
    findings.unit.takes[0].path = "\"><img src=x>&\xFF";
    findings.suspects[0].reasons.push_back("a < b & c");
    const std::string html = findings_page(findings, nullptr);
    CHECK(html.find("<script") == std::string::npos);
    CHECK(html.find("<img") == std::string::npos);
    CHECK_THAT(html, Contains("a &lt; b &amp; c"));
    CHECK(first_unbalanced(html).empty());
    CHECK(first_unbalanced(findings_page(sample::quiet(), nullptr)).empty());
    CHECK(first_unbalanced(findings_page(sample::unknown(false), nullptr)).empty());
    CHECK(first_unbalanced(findings_page(Findings{}, nullptr)).empty());
}
