// Who may write files, and to the standard streams.

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

/// How code makes, replaces or renames a file, and the only files that may: beside the one writer of whole files in
/// src/base, the logbook's store of recordings under names of its own, its database, and its lock.
struct Writing {
    std::string way;
    std::set<std::string> files;
};
const std::vector<Writing> ways_of_writing = {
    {"ofstream", {}},
    {":fstream", {}},
    {"fopen(", {"base/files/system_output.cpp", "sound/clip/byte_stream.cpp"}},
    {"freopen(", {}},
    {"O_CREAT", {"logbook/storage/system_file.cpp"}},
    {"CreateFile", {"logbook/storage/system_file.cpp"}},
    {"mkstemp(", {}},
    {"sf_open(", {}},
    {"sf_wchar_open(", {}},
    {"SFM_WRITE", {"sound/clip/clip_writer.cpp"}},
    {"SFM_RDWR", {}},
    {"stbi_write_png(", {}},
    {"fs::rename(", {"base/files/file_in_making.cpp", "logbook/storage/clip_store.cpp", "logbook/storage/copies.cpp"}},
    {"filesystem::rename(", {}},
    {"std::rename(", {}},
    {"copy_file(", {"logbook/storage/copies.cpp"}},
    {"fs::copy(", {}},
    {"create_hard_link(", {}},
    {"create_symlink(", {}},
    {"resize_file(", {}},
    {"sqlite3_open", {"logbook/storage/database.cpp"}},
    {"FileInMaking::begin(",
     {"base/files/output_file.cpp", "base/files/file_in_making.cpp", "sound/clip/clip_writer.cpp",
      "logbook/storage/copies.cpp"}},
};

std::vector<std::string> judge_writing(const std::string& shown, const std::string& text) {
    std::vector<std::string> diagnostics;
    for (const Writing& writing : ways_of_writing)
        if (writing.files.count(shown) == 0)
            if (text.find(writing.way) != std::string::npos)
                diagnostics.push_back(shown + ": '" + writing.way + "' belongs into src/base");
    // A verb gets its places from Options::output_file, which judges them first and lists them for the test.
    if (first_folder(shown) == "command")
        for (const char* made : {"OutputFile{", "OutputFile(", "write_output({"})
            if (text.find(made) != std::string::npos)
                diagnostics.push_back(shown + ": declare the option with Options::output_file instead of '" + made +
                                      "'");
    for (std::size_t at = text.find("write_clip("); at != std::string::npos; at = text.find("write_clip(", at + 1))
        if (shown.rfind("sound/clip/clip_writer", 0) != 0 && text.compare(at, 22, "write_clip(OutputFile{") != 0 &&
            text.compare(at, 28, "write_clip(base::OutputFile{") != 0)
            diagnostics.push_back(shown + ": 'write_clip' with a mere path replaces what stands there");
    return diagnostics;
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
        for (const std::string& diagnostic : judge_writing(fs::relative(path, root / "src").generic_string(), text))
            FAIL_CHECK(diagnostic);
    }
    CHECK(seen > 100);
}

TEST_CASE("only the console writes to the standard streams") {
    // sound/capture/stderr_filter.cpp passes on what libraries say, made printable.
    const std::set<std::string> may_write = {"src/command/terminal/console.cpp", "src/sound/capture/stderr_filter.cpp",
                                             "src/base/files/system_output.cpp"};  // knows the names of the devices
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
