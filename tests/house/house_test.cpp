// Rules of the house that a compiler does not check: who includes whom, where third parties are seen, how
// long a file may get, what stands at the top level. Reads the source tree; needs nothing built.

#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
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

/// The flow of the data: a folder includes itself and what stands before it.
const std::vector<std::string> folders_in_order = {"base",   "spectrum", "sound",  "scope",  "tones",
                                                   "board",  "toggle",   "match",  "cause",  "logbook",
                                                   "report", "session",  "window", "command"};

bool comes_after(const std::string& folder, const std::string& other) {
    const auto at = [](const std::string& name) {
        return std::find(folders_in_order.begin(), folders_in_order.end(), name) - folders_in_order.begin();
    };
    return at(folder) > at(other);
}

bool is_folder(const std::string& name) {
    return std::find(folders_in_order.begin(), folders_in_order.end(), name) != folders_in_order.end();
}

/// The only folders that see a third party's header, by the beginning of its name.
const std::vector<std::pair<std::string, std::set<std::string>>> third_parties = {
    {"portaudio", {"sound"}}, {"pa_", {"sound"}},         {"libav", {"sound"}},      {"libsw", {"sound"}},
    {"sndfile", {"sound"}},   {"kiss_fft", {"spectrum"}}, {"kissfft", {"spectrum"}}, {"toml", {"board"}},
    {"sqlite3", {"logbook"}}, {"boost/", {"logbook"}},    {"imgui", {"window"}},     {"GLFW", {"window"}},
    {"nlohmann", {"match"}},  {"stb_", {"window"}},       {"CLI", {"command"}},
};

struct Include {
    std::string name;
    bool quoted;
    std::size_t line;
};

std::vector<Include> includes_of(const fs::path& path) {
    std::vector<Include> includes;
    std::ifstream file(path);
    std::string text;
    for (std::size_t line = 1; std::getline(file, text); ++line) {
        const auto start = text.find_first_not_of(" \t");
        if (start == std::string::npos || text.compare(start, 8, "#include") != 0) continue;
        const auto open = text.find_first_of("\"<", start);
        if (open == std::string::npos) continue;
        const auto close = text.find_first_of("\">", open + 1);
        includes.push_back({text.substr(open + 1, close - open - 1), text[open] == '"', line});
    }
    return includes;
}

/// Diagnostics about one file of src, as the test reports them.
std::vector<std::string> judge_includes(const std::string& folder, const std::string& shown,
                                        const std::vector<Include>& includes) {
    std::vector<std::string> diagnostics;
    for (const Include& include : includes) {
        const std::string at = shown + ":" + std::to_string(include.line) + ": ";
        const std::string other = first_folder(include.name);
        if (is_folder(other) && comes_after(other, folder))
            diagnostics.push_back(at + folder + " may not include " + include.name);
        for (const auto& [beginning, folders] : third_parties)
            if (!include.quoted && include.name.rfind(beginning, 0) == 0 && folders.count(folder) == 0)
                diagnostics.push_back(at + include.name + " belongs in " + *folders.begin());
        if (include.quoted && include.name.rfind("..", 0) == 0)
            diagnostics.push_back(at + "write the path from src, not " + include.name);
    }
    return diagnostics;
}

}  // namespace

TEST_CASE("the checks of this test see what they should") {
    CHECK(judge_includes("tones", "x", {{"match/diagnose.h", true, 1}}).size() == 1);
    CHECK(judge_includes("tones", "x", {{"cause/hearing.h", true, 1}}).size() == 1);
    CHECK(judge_includes("logbook", "x", {{"report/words.h", true, 1}}).size() == 1);
    CHECK(judge_includes("match", "x", {{"sndfile.h", false, 1}}).size() == 1);
    CHECK(judge_includes("match", "x", {{"tones/tones.h", true, 1}, {"base/result.h", true, 2}, {"vector", false, 3}})
              .empty());
}

TEST_CASE("a folder includes only what stands before it, and third parties stay where they belong") {
    std::size_t seen = 0;
    for (const auto& entry : fs::directory_iterator(root / "src")) {
        if (!entry.is_directory()) continue;
        const std::string folder = entry.path().filename().string();
        INFO("a folder of src that the design does not know: " << folder);
        REQUIRE(is_folder(folder));
        for (const fs::path& path : files_under(entry.path())) {
            if (!is_code(path)) continue;
            ++seen;
            for (const std::string& diagnostic :
                 judge_includes(folder, fs::relative(path, root).string(), includes_of(path)))
                FAIL_CHECK(diagnostic);
        }
    }
    CHECK(seen > 10);
}

TEST_CASE("link lines keep the order of the folders") {
    for (const std::string& folder : folders_in_order) {
        const std::string text = text_of(root / "src" / folder / "CMakeLists.txt");
        for (const std::string& other : folders_in_order) {
            if (!comes_after(other, folder)) continue;
            INFO("src/" << folder << "/CMakeLists.txt links tattletone_" << other);
            CHECK(text.find("tattletone_" + other) == std::string::npos);
        }
    }
}

TEST_CASE("no source file or script is longer than 400 lines, no header lacks its guard") {
    for (const char* top : {"src", "tests", "samples"}) {
        for (const fs::path& path : files_under(root / top)) {
            // A table that a program writes (.inc) is read by none.
            if ((!is_code(path) && path.extension() != ".py") || path.extension() == ".inc") continue;
            std::ifstream file(path);
            std::string text, first;
            std::size_t lines = 0;
            while (std::getline(file, text)) {
                if (lines == 0) first = text;
                ++lines;
            }
            INFO(fs::relative(path, root).string() << " has " << lines << " lines");
            CHECK(lines <= 400);
            if (path.extension() == ".h") CHECK(first == "#pragma once");
        }
    }
}

TEST_CASE("no type is defined twice in the program's namespace") {
    // Two headers that do so build and link; which of the two a Debug build then uses is chance.
    const std::regex definition(R"(^(?:enum class|struct|class|enum) (\w+)(?: final)?(?: : [^;]*)? ?\{)");
    std::map<std::string, std::string> seen;
    for (const fs::path& path : files_under(root / "src")) {
        if (!is_code(path)) continue;
        std::ifstream file(path);
        std::string text;
        bool shared = true;  // not in an anonymous namespace
        std::string space;
        while (std::getline(file, text)) {
            if (text.starts_with("namespace ")) space = text.substr(10);
            if (text.starts_with("namespace {")) shared = false;
            if (text.starts_with("}  // namespace")) shared = true;
            std::smatch found;
            if (!shared || !std::regex_search(text, found, definition)) continue;
            const std::string name = space + found[1].str(), here = fs::relative(path, root).string();
            const auto [place, fresh] = seen.emplace(name, here);
            INFO(name << " is defined in " << place->second << " and in " << here);
            CHECK(fresh);
        }
    }
    CHECK(seen.size() > 100);
}

TEST_CASE("no source file opens namespace std") {
    for (const char* top : {"src", "tests", "samples"}) {
        for (const fs::path& path : files_under(root / top)) {
            if (!is_code(path) || path.filename() == "house_test.cpp") continue;
            std::ifstream file(path);
            const std::string text((std::istreambuf_iterator<char>(file)), {});
            INFO(fs::relative(path, root).string());
            CHECK(text.find("using namespace std;") == std::string::npos);
        }
    }
}

TEST_CASE("the top level holds what the design says and nothing else") {
    const std::set<std::string> allowed = {"README.md",         "DEVELOPERS.md", "CMakeLists.txt", "CMakePresets.json",
                                           "LICENSE",           "src",           "tests",          "samples",
                                           "third_party_notes", "build"};
    for (const auto& entry : fs::directory_iterator(root)) {
        const std::string name = entry.path().filename().string();
        if (name[0] == '.') continue;
        INFO(name << " does not belong at the top level");
        CHECK(allowed.count(name) == 1);
    }
}

TEST_CASE("every file that ships in samples fits in 4 MB together") {
    std::uintmax_t bytes = 0;
    for (const fs::path& path : files_under(root / "samples")) bytes += fs::file_size(path);
    CHECK(bytes < 4'000'000);
}

TEST_CASE("a folder has its own namespace and fits a sitting") {
    for (const std::string& folder : folders_in_order) {
        std::map<std::string, int> files;
        for (const fs::path& path : files_under(root / "src" / folder)) {
            const std::string shown = fs::relative(path, root).generic_string();
            ++files[fs::relative(path.parent_path(), root).generic_string()];
            if (!is_code(path) || path.extension() == ".inc") continue;
            const std::string text = text_of(path), own = "namespace tattletone::" + folder;
            INFO(shown);
            if (path.filename() != "main.cpp" && text.find("\nnamespace ") != std::string::npos)
                CHECK(text.find("\n" + own) != std::string::npos);
            const std::regex opened(R"(\nnamespace tattletone(?:::(\w+))?(?:::\w+)* \{)");
            for (std::sregex_iterator at(text.begin(), text.end(), opened), end; at != end; ++at) {
                // Error and Result are given by nearly every function of every folder.
                if (shown == "src/base/result.h" && !(*at)[1].matched) continue;
                CHECK((*at)[1].str() == folder);
            }
        }
        for (const auto& [place, count] : files) {
            INFO(place << " holds " << count << " files: group them");
            CHECK(count <= 26);
        }
    }
}

// So that a new kind is: its row, where its lines stand, and how likely they are with a number of the model.
TEST_CASE("what kind a line is, is asked kind by kind only where their priors stand") {
    const std::regex one_by_one(R"(\bcase (board::)?LineKind::)");
    std::vector<std::string> asking;
    for (const fs::path& path : files_under(root / "src"))
        if (is_code(path) && std::regex_search(text_of(path), one_by_one))
            asking.push_back(fs::relative(path, root / "src").generic_string());
    CHECK(asking == std::vector<std::string>{"match/model/source.cpp"});
}
