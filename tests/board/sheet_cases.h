#pragma once

#include <catch2/catch.hpp>

#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "support/names.h"
#include "support/sheets.h"

namespace tattletone::sheet_cases {

inline const std::string heron = scenes::sheet_text("heron_every_key");

inline std::string told(const SheetReading& reading) {
    std::string text;
    for (const SheetError& error : reading.errors) text += to_sentence(to_error(error)) + '\n';
    return text;
}

// The one error of a sheet that is fine but for `line` under a rate.
inline SheetError error_of_rate(const std::string& lines) {
    const std::string text =
        "[board]\nname = \"B\"\nstates = [\"on\", \"off\"]\n[[part]]\nid = \"p\"\n"
        "[[part.rate]]\nid = \"r\"\n" +
        lines + "\n";
    const SheetReading reading = parse_sheet(text, "s.toml");
    INFO(told(reading));
    REQUIRE(reading.errors.size() == 1);
    CHECK_FALSE(reading.sheet);
    CHECK_FALSE(reading.errors[0].todo.empty());
    return reading.errors[0];
}

struct Expected {
    int line, column;
    const char* what;
};

inline void check_errors(const std::string& text, const std::vector<Expected>& expected) {
    const SheetReading reading = parse_sheet(text, "s.toml");
    INFO(told(reading));
    CHECK_FALSE(reading.sheet);
    REQUIRE(reading.errors.size() == expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i) {
        INFO(to_sentence(to_error(reading.errors[i])));
        CHECK(reading.errors[i].line == expected[i].line);
        CHECK(reading.errors[i].column == expected[i].column);
        CHECK_THAT(reading.errors[i].what, Catch::Matchers::Contains(expected[i].what));
    }
}

}  // namespace tattletone::sheet_cases
