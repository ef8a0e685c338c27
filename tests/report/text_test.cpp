#include <catch2/catch.hpp>

#include <cstdlib>
#include <iostream>
#include <sstream>

#include "base/text/number.h"
#include "report/sample_findings.h"
#include "report/text/columns.h"
#include "report/text/text.h"
#include "report/text/wrap.h"
#include "report/words.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

int widest(const std::string& text) {
    std::istringstream lines(text);
    std::string line;
    int widest = 0;
    while (std::getline(lines, line)) widest = std::max(widest, display_columns(line));
    return widest;
}

}  // namespace

TEST_CASE("numbers show what their uncertainty leaves") {
    CHECK(with_uncertainty(9599.8304, 0.0042) == "9599.830 ± 0.004");
    CHECK(with_uncertainty(14987.3, 12.4) == "14987 ± 12");
    CHECK(with_uncertainty(100.0, 0.0113) == "100.000 ± 0.011");
    CHECK(with_uncertainty(100.0, 0.3) == "100.0 ± 0.3");
    CHECK(with_uncertainty(100.0, 1.4) == "100.0 ± 1.4");
    CHECK(fixed(-0.01, 1) == "0.0");
    CHECK(fixed(2.5e-12, 3) == "0.000");
    CHECK(trimmed(20000.0, 3) == "20000");
    CHECK(significant(0.00123456, 3) == "0.00123");
    CHECK(short_hz(11200) == "11.2 kHz");
    CHECK(short_hz(9600) == "9600 Hz");
    CHECK(short_hz(2.4e7) == "24 MHz");
}

TEST_CASE("probabilities have one wording") {
    CHECK(probability_word(0.95) == "almost certainly");
    CHECK(probability_word(0.949) == "probably");
    CHECK(probability_word(0.499) == "possibly");
    CHECK(probability_word(0.099) == "hardly");
    CHECK(probability_number(0.9999) == "over 0.99");
    CHECK(probability_number(0.014) == "0.01");
    CHECK(probability_number(0.001) == "under 0.01");
}

TEST_CASE("a tired person reads the answer first") {
    const std::string text = findings_text(sample::named());
    CHECK_THAT(text, StartsWith("Two rates are singing: ranger.frame, almost certainly (0.98) and\n"
                                "core-regulator.burst, probably (0.62).\n"));
    CHECK_THAT(text, Contains("9599.830 ± 0.004 Hz"));
    CHECK_THAT(text, Contains("moves from 15.63 kHz to 14.211 kHz"));
    CHECK_THAT(text, Contains("no criterion above 11.2 kHz"));
    CHECK_THAT(text, Contains("! The level follows the signal"));
    CHECK_THAT(text, Contains("\n  ! Only the first 64 multiples of a rate are compared: of lamp.dimming\n"));
    CHECK_THAT(text, Contains("What to try next"));
    CHECK_THAT(text, Contains("not a proof"));
    CHECK_THAT(text, Contains("  mains: 50.00 Hz\n"));
    CHECK(text.find('\033') == std::string::npos);
    CHECK(widest(text) <= 80);
    if (std::getenv("TATTLETONE_SHOW")) std::cout << text;
}

TEST_CASE("the other answers say what to do") {
    CHECK_THAT(findings_text(sample::quiet()), StartsWith("No tone of the board was found.\n"));
    CHECK_THAT(findings_text(sample::unknown(true)),
               StartsWith("One tone of the board was found, at 3141.59 Hz, and none of the "
                          "declared rates\nexplains it.\n"));
    CHECK_THAT(findings_text(sample::unknown(false)), Contains("--board"));
    if (std::getenv("TATTLETONE_SHOW"))
        std::cout << findings_text(sample::quiet()) << "-----\n" << findings_text(sample::unknown(true));
}

TEST_CASE("a faint line is no tone that was found, unless it is named") {
    Findings findings = sample::unknown(true);
    UnitTone faint = findings.unit.tones[0];
    faint.id = 2;
    faint.tone.hz = 9600.0;
    faint.tone.faint = true;
    findings.unit.tones.push_back(faint);
    findings.suspects = {{"ranger.frame", "Time-of-flight ranger", 0.2, {}, {}}};
    CHECK_THAT(findings_text(findings), StartsWith("One tone of the board was found, at 3141.59 Hz"));
    CHECK(findings_text(findings).find("faint: told from noise only because") != std::string::npos);
    findings.unit.tones.erase(findings.unit.tones.begin());
    findings.verdict = Verdict::quiet;
    CHECK_THAT(findings_text(findings), StartsWith("No tone of the board was found for certain; a faint line at"));
}

TEST_CASE("lines keep to the terminal's width, whatever the names") {
    Findings findings = sample::named();
    findings.unit.takes[0].path =
        std::string(300, 'x') + "/日本語日本語日本語日本語日本語日本語日本語日本語日本語日本語.flac";
    findings.suspects[0].part_name = std::string(120, 'n');
    for (const int columns : {40, 57, 76, 77, 80, 132}) {
        TextStyle style;
        style.columns = columns;
        CHECK(widest(findings_text(findings, style)) <= columns);
    }
    TextStyle style;
    style.columns = 3;
    CHECK(widest(findings_text(findings, style)) <= 40);
}

TEST_CASE("names cannot steer the terminal, and bold is only where asked for") {
    Findings findings = sample::named();
    findings.unit.takes[0].path = "\033[2Jevil\n\x9B";
    CHECK(findings_text(findings).find('\033') == std::string::npos);
    TextStyle style;
    style.bold = true;
    CHECK_THAT(findings_text(findings, style), StartsWith("\033[1mTwo rates"));
}

TEST_CASE("text is cleaned and measured by character") {
    CHECK(clean_utf8("a\xC0\x80"
                     "b") ==
          "a\uFFFD\uFFFD"
          "b");
    CHECK(clean_utf8("\xF4\x90\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
    CHECK(clean_utf8("\xE2\x82") == "\uFFFD\uFFFD");
    CHECK(clean_utf8("é€😀\n") == "é€😀\n");
    CHECK(printable("a\tb\x7F") == "a\\tb\\x7f");
    CHECK(display_columns("é€") == 2);
    for (const char* odd :
         {"\x1b[2Jx\n", "日本\xE2\x80\xAE", "\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x92\xBB", "e\xCC\x81\xFF"}) {
        CHECK(display_columns(left_in(odd, 30)) == 30);
        CHECK(display_columns(right_in(odd, 30)) == 30);
        CHECK(left_in(odd, 30).find('\n') == std::string::npos);
        CHECK(wrapped(odd, 30).find('\n') == wrapped(odd, 30).size() - 1);
    }
    CHECK(display_columns("日本") == 4);
    CHECK(wrapped("aa bb cc", 5) == "aa bb\ncc\n");
    CHECK(wrapped("aa bb", 12, "- ", "  ") == "- aa bb\n");
    CHECK(wrapped("", 10, "x") == "x\n");
}
