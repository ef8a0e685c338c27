#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "board/sheet_cases.h"
#include "support/names.h"
#include "support/sheets.h"

using namespace tattletone;
using namespace tattletone::sheet_cases;

TEST_CASE("a sheet with every key becomes the model") {
    const SheetReading reading = parse_sheet(heron, "heron.toml");
    INFO(told(reading));
    REQUIRE(reading.sheet);
    const BoardSheet& sheet = *reading.sheet;
    CHECK(sheet.path == "heron.toml");
    CHECK(sheet.name == "Heron");
    CHECK(sheet.revision == "C");
    CHECK(sheet.states == std::vector<std::string>{"idle", "ranging", "screen-on"});
    REQUIRE(sheet.rails.size() == 2);
    CHECK(sheet.rails[0].v_in_min == 4.75);
    CHECK(sheet.rails[0].path_mohm == 300.0);
    CHECK(sheet.rails[0].efficiency_percent == 88.0);
    CHECK(sheet.rails[0].t_j_max_c == 125.0);
    CHECK(sheet.rails[0].theta_ja_c_per_w == 62.0);
    CHECK(sheet.rails[0].fed_by == -1);
    CHECK(sheet.rails[1].fed_by == 0);
    CHECK(sheet.rails[1].v_in == 3.0);
    CHECK(sheet.parts[0].idle_ma == 2.0);
    CHECK(sheet.rails[0].regulator == Regulator::charge_pump);
    CHECK(sheet.rails[0].ambient_c == 35.0);
    CHECK(sheet.rails[0].output_capacitance_uf == 4.7);
    CHECK(sheet.rails[0].esr_mohm == 5.0);
    CHECK(sheet.rails[0].dropout_v == 0.2);
    CHECK(sheet.rails[0].quiescent_ma == 0.05);
    REQUIRE(sheet.parts.size() == 3);
    CHECK(sheet.parts[0].rail == 0);
    CHECK(sheet.parts[0].peak_ma == 145.0);
    CHECK(sheet.parts[0].spot == "by the lens");
    CHECK(sheet.parts[1].name == "core-regulator");
    CHECK(sheet.parts[1].rail == -1);
    CHECK_FALSE(sheet.parts[1].settle_s);
    CHECK(sheet.parts[2].settle_s == 0.25);
    REQUIRE(sheet.rates.size() == 4);
    CHECK(sheet.rates[0].full_name == "ranger.frame");
    CHECK(sheet.rates[0].tolerance_ppm == 50.0);
    CHECK(sheet.rates[0].active_in == std::vector<int>{1});
    CHECK(sheet.rates[0].adjustable);
    CHECK(sheet.rates[0].adjust_min_hz == 8000.0);
    CHECK(sheet.rates[0].adjust_max_hz == 11000.0);
    CHECK(sheet.rates[0].burst_us == 20.0);
    CHECK(sheet.rates[1].wanders());
    CHECK(sheet.rates[1].hz == 0.0);
    CHECK(sheet.rates[1].hz_max == 40000.5);
    CHECK(sheet.rates[1].shape == Shape::sine);
    CHECK(sheet.rates[2].tolerance_ppm == Approx(30000.0));
    CHECK(sheet.rates[2].part == 1);
    CHECK(sheet.rates[3].tolerance_ppm == assumed_tolerance_ppm);
    CHECK(sheet.rates[3].tolerance_assumed);
    CHECK(sheet.active(sheet.rates[0], 1));
    CHECK_FALSE(sheet.active(sheet.rates[0], 0));
    CHECK(sheet.active(sheet.rates[0], -1));
    CHECK(sheet.active(sheet.rates[3], 0));
    CHECK(sheet.state_index("screen-on") == 2);
    CHECK(sheet.state_index("off") == -1);
}

TEST_CASE("eleven errors of a sheet are told at once, each at its place") {
    check_errors(scenes::sheet_text("heron_eleven_errors"), {{4, 1, "'colour' is no key of [board]"},
                                                             {8, 13, "'linaer'"},
                                                             {12, 8, "'3V3'"},
                                                             {16, 8, "-9600"},
                                                             {19, 8, "second time"},
                                                             {21, 12, "hz and also hz_min"},
                                                             {25, 8, "is text"},
                                                             {26, 3, "'toleranc_ppm'"},
                                                             {29, 6, "second time"},
                                                             {32, 8, "'re fresh'"},
                                                             {34, 16, "'rangin'"}});
}

TEST_CASE("errors name what would be right") {
    const auto reading = parse_sheet(
        "[board]\nname = \"B\"\n[[rail]]\nid = \"5V\"\n[[rail]]\nid = \"3V\"\n"
        "[[part]]\nid = \"p\"\nrail = \"4V\"\n[[part]]\nid = \"p\"\n"
        "typical_na = 3\n",
        "s.toml");
    REQUIRE(reading.errors.size() == 3);
    CHECK(reading.errors[0].todo == "The rails are '5V', '3V'");
    CHECK_THAT(reading.errors[1].what, Catch::Matchers::Contains("the first is in line 8"));
    CHECK_THAT(reading.errors[2].todo, Catch::Matchers::Contains("'typical_ma'"));
    CHECK(to_error(reading.errors[0]).where == "s.toml:9:8");
}

TEST_CASE("each wrong value of a rate is one error at the value") {
    const auto check = [](const std::string& lines, int line, int column, const std::string& what) {
        const SheetError error = error_of_rate(lines);
        INFO(lines << "\n" << error.what);
        CHECK(error.line == line);
        CHECK(error.column == column);
        CHECK_THAT(error.what, Catch::Matchers::Contains(what));
    };
    check("hz = 0", 8, 6, "'hz' of rate 'p.r' is 0");
    check("hz = -3", 8, 6, "is -3");
    check("hz = nan", 8, 6, "is nan");
    check("hz = inf", 8, 6, "is inf");
    check("hz = 0.5", 8, 6, "is 0.5");
    check("hz = 2e10", 8, 6, "is 2e+10");
    check("hz = true", 8, 6, "is true or false");
    check("hz = [1, 2]", 8, 6, "is a list");
    check("hz = 1979-05-27", 8, 6, "is a date or time");
    check("hz_min = 5", 8, 10, "hz_min without hz_max");
    check("hz_max = 5", 8, 10, "hz_max without hz_min");
    check("hz_min = 5\nhz_max = 5", 8, 10, "not below");
    check("hz_min = 5\nhz_max = 50\ntolerance_ppm = 3", 10, 17, "wanders");
    check("hz = 5\nhz_max = 50", 9, 10, "hz and also hz_max");
    check("hz = 5\ntolerance_ppm = 3\ntolerance_percent = 1", 10, 21, "in ppm and one in per cent");
    check("hz = 5\ntolerance_ppm = -3", 9, 17, "is -3");
    check("hz = 5\ntolerance_ppm = 0", 9, 17, "is 0");
    check("hz = 5\ntolerance_percent = 51", 9, 21, "is 51");
    check("hz = 5\ntolerance_ppm = 6e5", 9, 17, "is 600000");
    check("hz = 5\nshape = \"triangle\"", 9, 9, "'triangle'");
    check("hz = 5\nactive_in = []", 9, 13, "names no state");
    check("hz = 5\nactive_in = \"on\"", 9, 13, "is text");
    check("hz = 5\nactive_in = [3]", 9, 14, "is a number");
    check("hz = 5\nactive_in = [\"on\", \"of\"]", 9, 20, "'of'");
    check("hz = 5\nadjustable = \"yes\"", 9, 14, "is text");
    check("hz = 5\nadjust_min_hz = 4", 9, 17, "without adjustable");
    check("hz = 5\nadjustable = true\nadjust_min_hz = 9\nadjust_max_hz = 4", 10, 17, "is not below");
    check("hz_min = 5\nhz_max = 9\nadjustable = true", 10, 14, "cannot be set");
    check("hz = 5\nburst_us = -1", 9, 12, "is -1");
    check("hertz = 5\nhz = 5", 8, 1, "'hertz' is no key");
    check("", 6, 1, "has no frequency");
}

TEST_CASE("what is required and missing is told where it belongs") {
    check_errors("[[part]]\nname = \"x\"\n[[part.rate]]\nhz = 5\n[[rail]]\nv_in = 5\n",
                 {{1, 1, "no [board]"}, {1, 1, "no id"}, {3, 1, "no id"}, {5, 1, "no id"}});
    check_errors("[board]\nrevision = \"A\"\n", {{1, 1, "no name"}});
    check_errors("[board]\nname = \"\"\n", {{2, 8, "is empty"}});
    check_errors("[board]\nname = \"x\"\nstates = [\"a b\", \"c\", \"c\"]\n",
                 {{3, 11, "'a b'"}, {3, 23, "second time"}});
    check_errors("[board]\nname = \"x\"\n[rail]\nid = \"a\"\n", {{3, 1, "'rail' is a table"}});
    check_errors("[board]\nname = \"x\"\n[[part]]\nid = \"a.b\"\n", {{4, 6, "'a.b'"}});
    check_errors("board = 3\n", {{1, 9, "'board' is a number"}});
    check_errors("[board]\nname = \"x\"\n[[part]]\nid = \"a\"\ntypical_ma = 9\npeak_ma = 3\n",
                 {{6, 11, "below its typical_ma"}});
    check_errors("[board]\nname = \"x\"\n[[rail]]\nid = \"a\"\nfed_by = \"b\"\nv_in = 0\n",
                 {{5, 10, "'b' of rail 'a'"}, {6, 8, "is 0"}});
    check_errors("[board]\nname = \"x\"\n[[rail]]\nid = \"a\"\nfed_by = \"b\"\n[[rail]]\nid = \"b\"\nfed_by = \"a\"\n",
                 {{8, 10, "feeds itself"}});
    check_errors(
        "[board]\nname = \"x\"\n[[rail]]\nid = \"a\"\nv_out = 3\n[[rail]]\nid = \"b\"\nfed_by = \"a\"\nv_in = 5\n",
        {{8, 10, "not the v_out"}});
}

TEST_CASE("syntax errors are told in our words, several at once") {
    check_errors(
        "[board]\nname = Heron\nrevision = \"C\"\n[[part]]\nid = \"a\"\n[[part.rate]]\n"
        "id = \"r\"\nhz = 9600 Hz\nhz = 1,5\nactive_in = [\"on\"]\n",
        {{2, 8, "'name = Heron'"}, {8, 11, "'hz = 9600 Hz'"}, {9, 7, "'hz = 1,5'"}, {10, 14, "'on'"}});
    check_errors("[board]\nname = \"x\"\nname = \"y\"\n", {{3, 8, "a second time"}});
    check_errors("[board\nname = \"x\"\n", {{1, 7, "'[board'"}});
    const auto todo = [](const char* text) { return parse_sheet(text, "s").errors.at(0).todo; };
    CHECK_THAT(todo("[board]\nname = Heron\n"), Catch::Matchers::Contains("double quotes"));
    CHECK_THAT(todo("[board]\nname\n"), Catch::Matchers::Contains("key = value"));
    CHECK_THAT(todo("[board]\nname =\n"), Catch::Matchers::Contains("value is missing"));
}

TEST_CASE("marks, line ends and odd files") {
    CHECK(parse_sheet("\xEF\xBB\xBF" + heron, "bom").sheet);
    std::string crlf;
    for (const char c : heron) crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
    CHECK(parse_sheet(crlf, "crlf").sheet);
    CHECK_THAT(told(parse_sheet("", "e")), Catch::Matchers::Contains("empty"));
    CHECK_THAT(told(parse_sheet("\xEF\xBB\xBF \r\n\t\n", "e")), Catch::Matchers::Contains("empty"));
    CHECK_THAT(told(parse_sheet(std::string("\xFF\xFE[\0", 4), "e")), Catch::Matchers::Contains("UTF-16"));
    CHECK_THAT(told(parse_sheet("[board]\nname = \"\xC3\x28\"\n", "e")), Catch::Matchers::Contains("UTF-8"));
    CHECK_THAT(told(parse_sheet(std::string(2 << 20, '#'), "e")), Catch::Matchers::Contains("1 MB"));
    std::string large = heron;
    while (large.size() < 900000) large += "# a long history of changes\n";
    CHECK(parse_sheet(large, "large").sheet);
}
