#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "support/names.h"
#include "support/sheets.h"

using namespace tattletone;

namespace {

const std::string heron = scenes::sheet_text("heron_every_key");

std::string told(const SheetReading& reading) {
    std::string text;
    for (const SheetError& error : reading.errors) text += to_sentence(to_error(error)) + '\n';
    return text;
}

// The one error of a sheet that is fine but for `line` under a rate.
SheetError error_of_rate(const std::string& lines) {
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

void check_errors(const std::string& text, const std::vector<Expected>& expected) {
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

}  // namespace

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

TEST_CASE("bytes that the library bears badly are refused before it sees them, at their place") {
    const auto first = [](const std::string& text) {
        const auto reading = parse_sheet(text, "s");
        REQUIRE_FALSE(reading.sheet);
        const SheetError& error = reading.errors.at(0);
        return std::to_string(error.line) + ":" + std::to_string(error.column) + " " + error.what;
    };
    CHECK(first("[board]\nname = \"\xC3\x28\"\n") == "2:9 the byte \\xc3 is no part of UTF-8");
    CHECK(first("[board]\nn\xC2\xB0 = 1\n") == "2:2 '\xC2\xB0' stands outside of quotes");
    CHECK(first("[board]\n# r\xC3\xA9\x1b\n") == "2:5 the control character \\x1b stands here");
    CHECK(first("[board]\nname = \"\xC3\xA9\x7f\"\n") == "2:10 the control character \\x7f stands here");
    CHECK(first(std::string("[board]\n\0", 9)) == "2:1 the control character \\x00 stands here");
    CHECK(first("[board]\rname = \"x\"\r") == "1:8 a carriage return stands here without a line feed");
    CHECK(first("[board]\nhz = 2\"\xCD\xA7\"\n") == "2:8 '\xCD\xA7' stands outside of quotes");
    for (const char* head : {"[=\"]]", "[[=x]]", " [ = 1", "[", "[[", "[ \t#", "[.x]"}) {
        INFO(head);
        CHECK(first(std::string("[board]\nname = \"B\"\n") + head + "\n")
                  .ends_with("a table's name is missing behind the bracket"));
    }
    // What the library takes for granted of a value is an error at its line too, not undefined.
    CHECK(first("[board]\nname = \"B\"\npart = [ { id = \"p\", rate = [}!\n") == "3:1 this is no TOML");
    CHECK(parse_sheet("[ board ]\nname = \"B\"\nstates = [\n[]\n]\n[[ part]]\nid = 'p'\n[[ \"part\" . rate ]]\n", "s")
              .errors.at(0)
              .what.find("bracket") == std::string::npos);
    CHECK(parse_sheet("[board]\nname = \"B\xC3\xB6\" # \xC3\xB6 '''\n[[part]]\nid = 'p'\n", "s").sheet);
    // Several in one go; a text without its closing quote ends with its line.
    CHECK(parse_sheet("a\xC2\xB0 = 1\nb = \"\x01\nc\xC2\xB0 = 1\n", "s").errors.size() == 3);
}

TEST_CASE("nesting that would end the stack is refused at its place") {
    const auto repeated = [](const char* piece, int times) {
        std::string text;
        for (int i = 0; i < times; ++i) text += piece;
        return text;
    };
    const auto place = [](const std::string& line) {
        const auto reading = parse_sheet("[board]\nname = \"B\"\n" + line + "\n", "s");
        REQUIRE_FALSE(reading.sheet);
        REQUIRE_FALSE(reading.errors.empty());
        CHECK(reading.errors.size() <= 3);
        return std::to_string(reading.errors[0].line) + ":" + std::to_string(reading.errors[0].column);
    };
    for (const int times : {40, 50000, 300000}) {
        CHECK(place(repeated("a.", times) + "a = 1") == "3:64");
        CHECK(place("[" + repeated("a.", times) + "a]") == "3:65");
        CHECK(place("x = { " + repeated("a.", times) + "a = 1 }") == "3:70");
        CHECK(place("x = " + repeated("[", times)) == "3:37");
        CHECK(place("x = " + repeated("{a=", times)) == "3:101");
    }
    // Deep, and borne: told as unknown keys, not as nesting.
    CHECK(place(repeated("a.", 31) + "a = 1") == "3:1");
    CHECK(place("x = " + repeated("[", 32) + repeated("]", 32)) == "3:1");
    CHECK(place("x = \"" + repeated("[", 100) + repeated("a.", 100) + "\"") == "3:1");
}

TEST_CASE("of very many errors the first are told, briefly, and the others counted") {
    std::string text = "[board]\nname = \"B\"\n";
    for (int i = 0; i < 3000; ++i) text += "[[k" + std::to_string(i) + "]]\n";
    const auto reading = parse_sheet(text, "s");
    REQUIRE(reading.errors.size() == 51);
    CHECK(reading.errors.back().what == "and 2950 more errors");
    const std::string word(100000, 'x');
    const auto brief = parse_sheet(
        "[board]\nname = \"B\"\nstates = [\"" + word + " \"]\n" + word + " = 1\n[[part]]\nid = \"p\"\nrail = \"" +
            word + "\"\n[[part.rate]]\nid = \"r\"\nhz = 5\nshape = \"" + word + "\"\nactive_in = [\"" + word + "\"]\n",
        "s");
    CHECK(brief.errors.size() == 5);
    for (const SheetError& error : brief.errors) CHECK(error.what.size() + error.todo.size() < 400);
    std::string states = "[board]\nname = \"B\"\nstates = [";
    for (int i = 0; i < 1001; ++i) states += "\"s" + std::to_string(i) + "\", ";
    CHECK_THAT(told(parse_sheet(states + "]\n", "s")), Catch::Matchers::Contains("more than 1000 states"));
}

TEST_CASE("a sheet is read from a file, and a path that is none is told") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "tattletone sheet tést";
    fs::create_directories(folder);
    const auto utf8 = [](const fs::path& path) {
        const auto text = path.u8string();
        return std::string(text.begin(), text.end());
    };
    const fs::path file = folder / "heron.toml";
    std::ofstream(file, std::ios::binary) << heron;
    CHECK(read_sheet(utf8(file)).sheet);
    CHECK_THAT(told(read_sheet(utf8(folder))), Catch::Matchers::Contains("folder"));
    CHECK_THAT(told(read_sheet(utf8(folder / "none.toml"))), Catch::Matchers::Contains("no such file"));
    CHECK_FALSE(read_sheet("").sheet);
    fs::remove_all(folder);
}

TEST_CASE("where reading stops after many lines that are no TOML, it is said") {
    for (const std::size_t bad : {19u, 20u, 60u}) {
        std::string text = "[board]\nname = \"x\"\n";
        for (std::size_t i = 0; i < bad; ++i) text += "key" + std::to_string(i) + " = ??\n";
        const auto reading = parse_sheet(text, "s.toml");
        INFO(bad << " bad lines");
        CHECK_FALSE(reading.sheet);
        const bool said = reading.errors.back().what.find("reading stops here, after 20 lines") != std::string::npos;
        CHECK(said == (bad >= 20));
        if (said) CHECK(reading.errors.size() == 21);
    }
}
