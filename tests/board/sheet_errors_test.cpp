#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "board/sheet_cases.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::sheet_cases;

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
