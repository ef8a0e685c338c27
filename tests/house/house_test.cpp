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

namespace fs = std::filesystem;

namespace {

const fs::path root = TATTLETONE_SOURCE_DIR;

/// Which folders of src a folder may include, beside itself and the headers directly in src: what stands
/// before it in the flow of the data. The board sheet is read by the match and later.
const std::map<std::string, std::set<std::string>> may_include = {
    {"base", {}},
    {"sound", {"base"}},
    {"spectrum", {"base", "sound"}},
    {"tones", {"base", "sound", "spectrum"}},
    {"board", {"base"}},
    {"match", {"base", "sound", "spectrum", "tones", "board"}},
    {"report", {"base", "sound", "spectrum", "tones", "board", "match"}},
    {"logbook", {"base", "sound", "spectrum", "tones", "board", "match"}},
    {"session", {"base", "sound", "spectrum", "tones", "board", "match", "report", "logbook"}},
    {"window", {"base", "sound", "spectrum", "tones", "board", "match", "report", "logbook", "session"}},
    {"command", {"base", "sound", "spectrum", "tones", "board", "match", "report", "logbook", "session", "window"}},
};

/// The only folders that see a third party's header, by the beginning of its name.
const std::vector<std::pair<std::string, std::set<std::string>>> third_parties = {
    {"portaudio", {"sound"}}, {"pa_", {"sound"}},       {"libav", {"sound"}},     {"libsw", {"sound"}},
    {"sndfile", {"sound"}},   {"kiss_fft", {"spectrum"}}, {"kissfft", {"spectrum"}}, {"toml", {"board"}},
    {"sqlite3", {"logbook"}}, {"boost/", {"logbook"}}, {"imgui", {"window"}},    {"GLFW", {"window"}},     {"stb_", {"window"}},     {"CLI", {"command"}},
};

struct Include {
    std::string name;
    bool quoted;
    std::size_t line;
};

bool is_code(const fs::path& path) {
    const std::string extension = path.extension().string();
    return extension == ".h" || extension == ".cpp" || extension == ".inc";
}

std::vector<fs::path> files_under(const fs::path& folder) {
    std::vector<fs::path> found;
    if (!fs::exists(folder)) return found;
    for (const auto& entry : fs::recursive_directory_iterator(folder))
        if (entry.is_regular_file()) found.push_back(entry.path());
    std::sort(found.begin(), found.end());
    return found;
}

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

std::string first_folder(const std::string& path) {
    const auto slash = path.find('/');
    return slash == std::string::npos ? std::string() : path.substr(0, slash);
}

/// Complaints about one file of src, as the test reports them.
std::vector<std::string> judge_includes(const std::string& folder, const std::string& shown,
                                        const std::vector<Include>& includes) {
    std::vector<std::string> complaints;
    for (const Include& include : includes) {
        const std::string at = shown + ":" + std::to_string(include.line) + ": ";
        const std::string other = first_folder(include.name);
        if (may_include.count(other) != 0 && other != folder && may_include.at(folder).count(other) == 0)
            complaints.push_back(at + folder + " may not include " + include.name);
        for (const auto& [beginning, folders] : third_parties)
            if (!include.quoted && include.name.rfind(beginning, 0) == 0 && folders.count(folder) == 0)
                complaints.push_back(at + include.name + " belongs in " + *folders.begin());
        if (include.quoted && include.name.rfind("..", 0) == 0)
            complaints.push_back(at + "write the path from src, not " + include.name);
    }
    return complaints;
}

std::string text_of(const fs::path& path) {
    std::ifstream file(path);
    return {std::istreambuf_iterator<char>(file), {}};
}

using Bound = std::pair<std::string, std::string>;   // name, value

std::string without_spaces(std::string text) {
    std::erase_if(text, [](char c) { return c == ' ' || c == '\''; });
    return text;
}

/// Every `name = number` of `code` that is a constant or a default, comments left out. `only_bounds`: by name.
std::set<Bound> bounds_in(const std::string& code, bool only_bounds) {
    static const std::regex definition(R"((\w+) = ([0-9][0-9a-zA-Z_.']*(?: (?:<<|\*) [0-9.]+)*|std::size_t\{1\} << [0-9]+))");
    static const std::regex of_a_bound(R"((most|max|longest|highest)(_\w*[a-z0-9])?)");
    std::set<Bound> found;
    std::istringstream lines(code);
    for (std::string line; std::getline(lines, line);) {
        line = line.substr(0, line.find("//"));
        const bool member = std::regex_search(line, std::regex(R"(^\s+(int|double|std::size_t) (most|max|longest|highest)_)"));
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
std::map<std::string, std::set<Bound>> documented_bounds(const std::string& section, std::vector<std::string>& complaints) {
    static const std::regex code("`([^`]+)`");
    static const std::regex bound(R"((\w+) = (.+))"), file(R"([a-z_]+/[a-z_0-9]+\.(h|cpp))");
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
            if (std::regex_match(text, parts, bound)) bounds.insert({parts[1].str(), without_spaces(parts[2])});
            else if (std::regex_match(text, file)) files.push_back(text);
        }
        if (bounds.empty() && files.empty()) continue;
        std::set<Bound> seen;
        for (const std::string& name : files)
            for (const Bound& one : bounds_in(text_of(root / "src" / name), false))
                if (bounds.count(one)) documented[name].insert(one), seen.insert(one);
        for (const Bound& one : bounds)
            if (!seen.count(one)) complaints.push_back(one.first + " = " + one.second + " is in none of the files beside it: " + piece);
    }
    return documented;
}

}  // namespace

TEST_CASE("the checks of this test see what they should") {
    CHECK(judge_includes("tones", "x", {{"match/diagnose.h", true, 1}}).size() == 1);
    CHECK(judge_includes("tones", "x", {{"board/sheet.h", true, 1}}).size() == 1);
    CHECK(judge_includes("report", "x", {{"logbook/store.h", true, 1}}).size() == 1);
    CHECK(judge_includes("match", "x", {{"sndfile.h", false, 1}}).size() == 1);
    CHECK(judge_includes("match", "x", {{"tones/tones.h", true, 1}, {"result.h", true, 2}, {"vector", false, 3}}).empty());
}

TEST_CASE("the list of limits would be seen to differ from the code") {
    std::vector<std::string> complaints;
    CHECK(documented_bounds("| x | `most_order = 64` | `board/lines.h` | y |\n", complaints).size() == 1);
    CHECK(complaints.empty());
    documented_bounds("| x | `most_order = 65` | `board/lines.h` | y |\n", complaints);
    documented_bounds("| x | `most_order = 64` | `board/lines.cpp` | y |\n\nOf the work: `most_z = 9.0` (`match/gauss.cpp`).", complaints);
    CHECK(complaints.size() == 3);
    const auto found = bounds_in("constexpr std::size_t most_a = 3, b = 4;\n    int most_c = 1 << 4;  // most_d = 5\n"
                                 "constexpr std::size_t longest = std::size_t{1} << 20;\n    x = most_e = 7;\n",
                                 true);
    CHECK(found == std::set<Bound>{{"longest", "1<<20"}, {"most_a", "3"}, {"most_c", "1<<4"}});
}

TEST_CASE("DEVELOPERS.md lists every bound, with the value that it has") {
    const std::string whole = text_of(root / "DEVELOPERS.md");
    const auto begin = whole.find("\n## Limits\n");
    REQUIRE(begin != std::string::npos);
    const std::string section = whole.substr(begin, whole.find("\n## ", begin + 4) - begin);
    std::vector<std::string> complaints;
    const auto documented = documented_bounds(section, complaints);
    for (const std::string& complaint : complaints) FAIL_CHECK(complaint);
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

TEST_CASE("a folder includes only what stands before it, and third parties stay where they belong") {
    std::size_t seen = 0;
    for (const auto& entry : fs::directory_iterator(root / "src")) {
        if (!entry.is_directory()) continue;
        const std::string folder = entry.path().filename().string();
        INFO("a folder of src that the design does not know: " << folder);
        REQUIRE(may_include.count(folder) == 1);
        for (const fs::path& path : files_under(entry.path())) {
            if (!is_code(path)) continue;
            ++seen;
            for (const std::string& complaint : judge_includes(folder, fs::relative(path, root).string(), includes_of(path)))
                FAIL_CHECK(complaint);
        }
    }
    CHECK(seen > 10);
}

TEST_CASE("link lines keep the order of the folders") {
    for (const auto& [folder, before] : may_include) {
        std::ifstream file(root / "src" / folder / "CMakeLists.txt");
        const std::string text((std::istreambuf_iterator<char>(file)), {});
        for (const auto& [other, unused] : may_include) {
            if (other == folder || before.count(other) != 0) continue;
            INFO("src/" << folder << "/CMakeLists.txt links tattletone_" << other);
            CHECK(text.find("tattletone_" + other) == std::string::npos);
        }
    }
}

TEST_CASE("no source file is longer than 600 lines, no header lacks its guard") {
    for (const char* top : {"src", "tests", "samples"}) {
        for (const fs::path& path : files_under(root / top)) {
            if (!is_code(path) && path.extension() != ".py") continue;
            std::ifstream file(path);
            std::string text, first;
            std::size_t lines = 0;
            while (std::getline(file, text)) {
                if (lines == 0) first = text;
                ++lines;
            }
            INFO(fs::relative(path, root).string() << " has " << lines << " lines");
            CHECK(lines <= 600);
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

namespace {

/// How code makes, replaces or renames a file, and the only files that may: beside the one writer of whole files in
/// src/base, the logbook's store of recordings under names of its own, its database, and its lock.
struct Writing {
    std::string way;
    std::set<std::string> files;
};
const std::vector<Writing> ways_of_writing = {
    {"ofstream", {}},
    {":fstream", {}},
    {"fopen(", {"base/system_output.cpp", "sound/byte_stream.cpp"}},
    {"freopen(", {}},
    {"O_CREAT", {"logbook/system_file.cpp"}},
    {"CreateFile", {"logbook/system_file.cpp"}},
    {"mkstemp(", {}},
    {"sf_open(", {}},
    {"sf_wchar_open(", {}},
    {"SFM_WRITE", {"sound/clip_writer.cpp"}},
    {"SFM_RDWR", {}},
    {"stbi_write_png(", {}},
    {"fs::rename(", {"base/file_in_making.cpp", "logbook/clip_store.cpp", "logbook/copies.cpp"}},
    {"filesystem::rename(", {}},
    {"std::rename(", {}},
    {"copy_file(", {"logbook/copies.cpp"}},
    {"fs::copy(", {}},
    {"create_hard_link(", {}},
    {"create_symlink(", {}},
    {"resize_file(", {}},
    {"sqlite3_open", {"logbook/database.cpp"}},
    {"FileInMaking::begin(", {"base/output_file.cpp", "base/file_in_making.cpp", "sound/clip_writer.cpp", "logbook/copies.cpp"}},
};

std::vector<std::string> judge_writing(const std::string& shown, const std::string& text) {
    std::vector<std::string> complaints;
    for (const Writing& writing : ways_of_writing)
        if (writing.files.count(shown) == 0)
            if (text.find(writing.way) != std::string::npos)
                complaints.push_back(shown + ": '" + writing.way + "' belongs into src/base");
    // A verb gets its places from Options::output_file, which judges them first and lists them for the test.
    if (first_folder(shown) == "command")
        for (const char* made : {"OutputFile{", "OutputFile(", "write_output({"})
            if (text.find(made) != std::string::npos)
                complaints.push_back(shown + ": declare the option with Options::output_file instead of '" + made + "'");
    for (std::size_t at = text.find("write_clip("); at != std::string::npos; at = text.find("write_clip(", at + 1))
        if (shown.rfind("sound/clip_writer", 0) != 0 && text.compare(at, 22, "write_clip(OutputFile{") != 0)
            complaints.push_back(shown + ": 'write_clip' with a mere path replaces what stands there");
    return complaints;
}

}  // namespace

TEST_CASE("whole files are written in one place, by one rule") {
    CHECK(judge_writing("command/x.cpp", "std::ofstream out(path);").size() == 1);
    CHECK(judge_writing("command/x.cpp", "std::fstream out(path);").size() == 1);
    CHECK(judge_writing("report/x.cpp", "fs::rename(a, b);").size() == 1);
    CHECK(judge_writing("command/x.cpp", "write_output(OutputFile{OutputKind::unit_page, path}, page)").size() == 1);
    CHECK(judge_writing("session/x.cpp", "write_clip(path, recording, format)").size() == 1);
    CHECK(judge_writing("board/x.cpp", "std::ifstream in(path); std::ifstream other;").empty());
    std::size_t seen = 0;
    for (const fs::path& path : files_under(root / "src")) {
        if (!is_code(path)) continue;
        ++seen;
        std::ifstream file(path);
        const std::string text((std::istreambuf_iterator<char>(file)), {});
        for (const std::string& complaint : judge_writing(fs::relative(path, root / "src").generic_string(), text))
            FAIL_CHECK(complaint);
    }
    CHECK(seen > 100);
}

TEST_CASE("the top level holds what the design says and nothing else") {
    const std::set<std::string> allowed = {"README.md", "DEVELOPERS.md", "CMakeLists.txt", "CMakePresets.json", "LICENSE",
                                           "src", "tests", "samples", "third_party_notes", "build"};
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

TEST_CASE("only the console writes to the standard streams") {
    // sound/stderr_filter.cpp passes on what libraries say, made printable.
    const std::set<std::string> may_write = {"src/command/console.cpp", "src/sound/stderr_filter.cpp",
                                             "src/base/system_output.cpp"};  // knows the names of the devices
    const std::regex writing(R"(\b(std::)?(cout|cerr|clog|stdout|stderr)\b|\b(v?printf|puts|putchar|perror)\s*\()");
    std::size_t seen = 0;
    for (const fs::path& path : files_under(root / "src")) {
        const std::string shown = fs::relative(path, root).generic_string();
        if (!is_code(path)) continue;
        std::ifstream file(path);
        std::string line;
        for (std::size_t number = 1; std::getline(file, line); ++number) {
            const std::string code = line.substr(0, line.find("//"));
            if (!std::regex_search(code, writing)) continue;
            INFO(shown << ":" << number << ": " << line);
            CHECK(may_write.count(shown) == 1);
            ++seen;
        }
    }
    CHECK(seen > 0);
}
