#include <catch2/catch.hpp>

#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>

#include "base/text/printable.h"
#include "base/text/utf8.h"
#include "support/names.h"

using namespace tattletone;

namespace {

std::string utf8(std::uint32_t code) {
    if (code < 0x80) return {static_cast<char>(code)};
    if (code < 0x800) return {static_cast<char>(0xC0 | code >> 6), static_cast<char>(0x80 | (code & 0x3F))};
    if (code < 0x10000)
        return {static_cast<char>(0xE0 | code >> 12), static_cast<char>(0x80 | (code >> 6 & 0x3F)),
                static_cast<char>(0x80 | (code & 0x3F))};
    return {static_cast<char>(0xF0 | code >> 18), static_cast<char>(0x80 | (code >> 12 & 0x3F)),
            static_cast<char>(0x80 | (code >> 6 & 0x3F)), static_cast<char>(0x80 | (code & 0x3F))};
}

}  // namespace

TEST_CASE("what steers a terminal is written out as C does") {
    CHECK(printable("a\nb\rc\td") == "a\\nb\\rc\\td");
    CHECK(printable("\x1b]0;evil\x07") == "\\x1b]0;evil\\x07");
    CHECK(printable(std::string("\0", 1)) == "\\x00");
    CHECK(printable("\x7f") == "\\x7f");
    CHECK(printable(utf8(0x9B) + "2J") == "\\u009b2J");
    CHECK(printable("\x9b"
                    "2J") == "\\x9b2J");
    CHECK(printable("Grün 9,6 kHz ± 日本 \xF0\x9F\x94\x94") == "Grün 9,6 kHz ± 日本 \xF0\x9F\x94\x94");
}

TEST_CASE("what reorders a line or hides in it is written out") {
    for (std::uint32_t code = 0x202A; code <= 0x202E; ++code) CHECK(printable(utf8(code)).front() == '\\');
    for (std::uint32_t code = 0x2066; code <= 0x2069; ++code) CHECK(printable(utf8(code)).front() == '\\');
    CHECK(printable("a" + utf8(0x202E) + "vaw.b") == "a\\u202evaw.b");
    CHECK(printable(utf8(0x2028) + utf8(0x2029)) == "\\u2028\\u2029");
    CHECK(printable("a" + utf8(0x200B) + utf8(0xFEFF) + utf8(0x2060) + "b") == "a\\u200b\\ufeff\\u2060b");
    CHECK(printable(utf8(0xE0041)) == "\\U000e0041");
    CHECK(printable(utf8(0xFFFE) + utf8(0x10FFFF)) == "\\ufffe\\U0010ffff");
}

TEST_CASE("joiners and selectors stay where scripts and pictures need them, and nowhere else") {
    const std::string woman = utf8(0x1F469), laptop = utf8(0x1F4BB), heart = utf8(0x2764), joiner = utf8(0x200D),
                      selector = utf8(0xFE0F), ka = utf8(0x0915), virama = utf8(0x094D);
    CHECK(printable(woman + joiner + laptop) == woman + joiner + laptop);
    CHECK(printable(heart + selector) == heart + selector);
    CHECK(printable(heart + selector + joiner + woman) == heart + selector + joiner + woman);
    CHECK(printable(ka + virama + joiner + ka) == ka + virama + joiner + ka);
    CHECK(printable("a" + joiner + "b") == "a\\u200db");
    CHECK(printable(woman + joiner) == woman + "\\u200d");
    CHECK(printable(woman + joiner + joiner + laptop) == woman + "\\u200d\\u200d" + laptop);
    CHECK(printable("a" + selector) == "a\\ufe0f");
    CHECK(printable(heart + selector + selector) == heart + selector + "\\ufe0f");
}

TEST_CASE("lines stay where they are asked for, and bold where it is our own") {
    CHECK(printable_lines("a\nb\r\nc\rd\x1b[1m") == "a\nb\r\nc\\rd\\x1b[1m");
    CHECK(printable_layout("\033[1mhead\033[0m\nx", true) == "\033[1mhead\033[0m\nx");
    CHECK(printable_layout("\033[1mhead\033[0m\nx", false) == "head\nx");
    CHECK(printable_layout("\033[1mhead", true) == "\033[1mhead\033[0m");
    CHECK(printable_layout("\033[2J\033[01m", true) == "\\x1b[2J\\x1b[01m");
    CHECK(printable("\033[1m") == "\\x1b[1m");
}

TEST_CASE("what stands in a message is short, and cut between characters") {
    CHECK(briefly("a\x1b") == "a\\x1b");
    std::string umlauts;
    for (int i = 0; i < 41; ++i) umlauts += "\xC3\xB6";
    CHECK(briefly(umlauts) == umlauts.substr(0, 80) + "…");
    CHECK(briefly(umlauts.substr(2)) == umlauts.substr(2));
    CHECK(briefly(std::string(100, '\xFF')).size() == 40 * 4 + 3);
}

TEST_CASE("any bytes become clean UTF-8 without a control character, and twice is once") {
    std::mt19937 random(20260);
    std::printf("seed 20260\n");
    const std::string pieces[] = {"\x1b",
                                  "\xE2\x80",
                                  "\xAE",
                                  "\xE2",
                                  "\x80",
                                  "a",
                                  utf8(0x200D),
                                  utf8(0xFE0F),
                                  utf8(0x1F469),
                                  utf8(0x9B),
                                  "\xF3\xA0\x81\x81",
                                  "\xC2",
                                  "\n",
                                  "\xFF",
                                  "\xED\xA0\x80",
                                  "\xC0\x80",
                                  "\\"};
    for (int round = 0; round < 20000; ++round) {
        std::string text;
        for (std::size_t i = random() % 12; i > 0; --i) {
            if (random() % 2 == 0)
                text += pieces[random() % std::size(pieces)];
            else
                text += static_cast<char>(random());
        }
        const std::string safe = printable(text);
        CAPTURE(text, safe);
        REQUIRE(printable(safe) == safe);
        REQUIRE(clean_utf8(safe) == safe);
        for (std::size_t at = 0; at < safe.size();) {
            const Utf8Character character = utf8_character(safe, at);
            REQUIRE_FALSE(must_be_written_out(character.code));
            at += character.bytes;
        }
    }
}
