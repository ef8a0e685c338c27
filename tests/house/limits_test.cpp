// Every bound of the program is listed in DEVELOPERS.md (Limits), with the value that it has.

#include <catch2/catch.hpp>

#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "house/house.h"

using namespace house;

namespace {

using Bound = std::pair<std::string, std::string>;  // name, value

std::string without_spaces(std::string text) {
    std::erase_if(text, [](char c) { return c == ' ' || c == '\''; });
    return text;
}

/// Every `name = number` of `code` that is a constant or a default, comments left out. `only_bounds`: by name.
std::set<Bound> bounds_in(const std::string& code, bool only_bounds) {
    static const std::regex definition(
        R"((\w+) = ([0-9][0-9a-zA-Z_.']*(?: (?:<<|\*) [0-9.]+)*|std::size_t\{1\} << [0-9]+))");
    static const std::regex of_a_bound(R"((most|max|longest|highest)(_\w*[a-z0-9])?)");
    std::set<Bound> found;
    std::istringstream lines(code);
    for (std::string line; std::getline(lines, line);) {
        line = line.substr(0, line.find("//"));
        const bool member =
            std::regex_search(line, std::regex(R"(^\s+(int|double|std::size_t) (most|max|longest|highest)_)"));
        if (line.find("constexpr") == std::string::npos && !member) continue;
        for (std::sregex_iterator at(line.begin(), line.end(), definition), end; at != end; ++at) {
            std::string value = without_spaces((*at)[2]);
            if (value.rfind("std::size_t{1}", 0) == 0) value.replace(0, 14, "1");
            if (!only_bounds || std::regex_match((*at)[1].str(), of_a_bound)) found.insert({(*at)[1].str(), value});
        }
    }
    return found;
}

/// `file.cpp` → the bounds that a row of the table, or the list below it, says are in one of its files.
std::map<std::string, std::set<Bound>> documented_bounds(const std::string& section,
                                                         std::vector<std::string>& diagnostics) {
    static const std::regex code("`([^`]+)`");
    static const std::regex bound(R"((\w+) = (.+))"), file(R"([a-z_]+(/[a-z_0-9]+)+\.(h|cpp))");
    std::map<std::string, std::set<Bound>> documented;
    std::vector<std::string> pieces;
    const auto list = section.find("\nOf the work");
    std::istringstream rows(section.substr(0, list));
    for (std::string row; std::getline(rows, row);)
        if (row.rfind("| ", 0) == 0) pieces.push_back(row);
    if (list != std::string::npos) {
        std::istringstream items(section.substr(list));
        for (std::string item; std::getline(items, item, ')');) pieces.push_back(item);
    }
    for (const std::string& piece : pieces) {
        std::set<Bound> bounds;
        std::vector<std::string> files;
        for (std::sregex_iterator at(piece.begin(), piece.end(), code), end; at != end; ++at) {
            const std::string text = (*at)[1];
            std::smatch parts;
            if (std::regex_match(text, parts, bound))
                bounds.insert({parts[1].str(), without_spaces(parts[2])});
            else if (std::regex_match(text, file))
                files.push_back(text);
        }
        if (bounds.empty() && files.empty()) continue;
        std::set<Bound> seen;
        for (const std::string& name : files)
            for (const Bound& one : bounds_in(text_of(root / "src" / name), false))
                if (bounds.count(one)) documented[name].insert(one), seen.insert(one);
        for (const Bound& one : bounds)
            if (!seen.count(one))
                diagnostics.push_back(one.first + " = " + one.second + " is in none of the files beside it: " + piece);
    }
    return documented;
}

}  // namespace

TEST_CASE("the list of limits would be seen to differ from the code") {
    std::vector<std::string> diagnostics;
    CHECK(documented_bounds("| x | `most_order = 64` | `board/lines.h` | y |\n", diagnostics).size() == 1);
    CHECK(diagnostics.empty());
    documented_bounds("| x | `most_order = 65` | `board/lines.h` | y |\n", diagnostics);
    documented_bounds(
        "| x | `most_order = 64` | `board/lines.cpp` | y |\n\nOf the work: `most_z = 9.0` (`match/model/gauss.cpp`).",
        diagnostics);
    CHECK(diagnostics.size() == 3);
    const auto found = bounds_in(
        "constexpr std::size_t most_a = 3, b = 4;\n    int most_c = 1 << 4;  // most_d = 5\n"
        "constexpr std::size_t longest = std::size_t{1} << 20;\n    x = most_e = 7;\n",
        true);
    CHECK(found == std::set<Bound>{{"longest", "1<<20"}, {"most_a", "3"}, {"most_c", "1<<4"}});
}

TEST_CASE("DEVELOPERS.md lists every bound, with the value that it has") {
    const std::string whole = text_of(root / "DEVELOPERS.md");
    const auto begin = whole.find("\n## Limits\n");
    REQUIRE(begin != std::string::npos);
    const std::string section = whole.substr(begin, whole.find("\n## ", begin + 4) - begin);
    std::vector<std::string> diagnostics;
    const auto documented = documented_bounds(section, diagnostics);
    for (const std::string& diagnostic : diagnostics) FAIL_CHECK(diagnostic);
    std::size_t seen = 0;
    for (const fs::path& path : files_under(root / "src")) {
        if (!is_code(path)) continue;
        const std::string name = fs::relative(path, root / "src").generic_string();
        for (const Bound& one : bounds_in(text_of(path), true)) {
            ++seen;
            INFO("src/" << name << ": " << one.first << " = " << one.second
                        << " is a new bound. Lift it, or tell where it is met, and list it in DEVELOPERS.md (Limits)");
            CHECK((documented.count(name) != 0 && documented.at(name).count(one) != 0));
        }
    }
    CHECK(seen > 60);
}
