// The rule for files that are written. tests/command/overwrite_test.py tries it through every option; here is what an
// option cannot show: each format's mark as an outside reader sees it, kills at a chosen moment, two writers at once.
#include "base/files/output_file.h"

#include <catch2/catch.hpp>

#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include "base/files/file_content.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

struct Folder {
    fs::path path;
    Folder() : path(fs::temp_directory_path() / ("tattletone báse " + std::to_string(std::random_device{}()))) {
        fs::create_directories(path);
    }
    ~Folder() {
        std::error_code ignored;
        fs::remove_all(path, ignored);
    }
    std::string file(const std::string& name) const { return (path / name).string(); }
    std::size_t files() const { return static_cast<std::size_t>(std::distance(fs::directory_iterator(path), {})); }
};

void put(const std::string& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

std::string content_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(file), {});
}

OutputFile page_at(const std::string& path) {
    return {OutputKind::findings_page, path};
}

std::string page_text(OutputKind kind = OutputKind::findings_page, const std::string& body = "x") {
    return "<!DOCTYPE html>\n<html>\n<head>\n" + html_mark(kind) + "</head><body>" + body + "</body></html>\n";
}

// A child that writes half a file and is killed before it is put in place.
void be_killed_while_writing(const OutputFile& wanted, const std::string& half) {
    const pid_t child = fork();
    if (child == 0) {
        auto file = FileInMaking::begin(wanted);
        if (!file) _exit(1);
        std::fwrite(half.data(), 1, half.size(), file->stream());
        std::fflush(file->stream());
        raise(SIGKILL);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    REQUIRE(WIFSIGNALED(status));
}

}  // namespace

TEST_CASE("a mark is found whatever version wrote it, and only where its format holds it") {
    CHECK(mark_of(OutputKind::unit_page) == "tattletone " TATTLETONE_VERSION ", unit page");
    CHECK(marked_kind(page_text(OutputKind::batch_page)) == OutputKind::batch_page);
    CHECK(marked_kind("<!DOCTYPE html><meta name=\"generator\" content=\"tattletone 12.34.5, trace page\">") ==
          OutputKind::trace_page);
    CHECK(marked_kind(svg_mark(OutputKind::trace_picture) + "<svg/>") == OutputKind::trace_picture);
    CHECK(marked_kind("{\"format\": \"tattletone findings 1\",\"board\":null}") == OutputKind::findings_file);
    CHECK_FALSE(marked_kind(html_mark(OutputKind::unit_page)));
    CHECK_FALSE(marked_kind("<!DOCTYPE html><p>Made by tattletone 0.1.0.</p>"));
    CHECK_FALSE(marked_kind("<!DOCTYPE html><meta name=\"generator\" content=\"another 1.0, unit page\">"));
    CHECK_FALSE(marked_kind("<!DOCTYPE html><meta name=\"generator\" content=\"tattletone 0.1.0, holiday page\">"));
    CHECK_FALSE(marked_kind("<!DOCTYPE html><meta name=\"generator\" content=\"tattletone 0.1.0, unit page"));
    CHECK_FALSE(marked_kind("{\"format\": \"tattletone trace 1\"}"));
    CHECK_FALSE(marked_kind(""));
    for (const std::string_view whole :
         {std::string_view("<!DOCTYPE html>"), std::string_view("\x89PNG\r\n\x1a\n\0\0\0\xffzzzz", 16),
          std::string_view("\x89PNG\r\n\x1a\n\xff\xff\xff\xff", 12)})
        CHECK_FALSE(marked_kind(whole));
}

// The smallest picture of https://www.w3.org/TR/png/ : a grey pixel. Signature, IHDR, IDAT, IEND. The checksum of the
// chunk is compared with the one that zlib's crc32 gives for "tEXt" and this text (Python, zlib.crc32), for version
// 0.1.0.
TEST_CASE("a picture's mark is a chunk that stands behind the header") {
    const std::string head("\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\0\0\0\0\x3a\x7e\x9b\x55", 33);
    const std::string tail("\0\0\0\nIDATx\x9c\x63\x60\0\0\0\2\0\1\x48\xaf\xa4\x71\0\0\0\0IEND\xae\x42\x60\x82", 34);
    const std::string marked = png_with_mark(head + tail, OutputKind::window_picture);
    CHECK(marked.substr(0, 33) == head);
    CHECK(marked.substr(marked.size() - tail.size()) == tail);
    const std::string text = std::string("Software\0", 9) + mark_of(OutputKind::window_picture);
    CHECK(marked.substr(33, 4) == std::string("\0\0\0", 3) + static_cast<char>(text.size()));
    CHECK(marked.substr(37, 4 + text.size()) == "tEXt" + text);
    if (std::string(TATTLETONE_VERSION) == "0.1.0")
        CHECK(marked.substr(41 + text.size(), 4) == std::string("\xd9\xae\x1c\x65", 4));
    CHECK(marked_kind(marked) == OutputKind::window_picture);
    CHECK_FALSE(marked_kind(head + tail));
    CHECK(png_with_mark("no picture", OutputKind::window_picture) == "no picture");
}

TEST_CASE("files are known by their bytes, not by their names") {
    const Folder folder;
    const auto content = [&](const std::string& bytes) {
        put(folder.file("x.txt"), bytes);
        const auto seen = look_at_file(folder.file("x.txt"));
        REQUIRE(seen);
        return seen->content;
    };
    using namespace std::string_literals;
    for (const std::string& bytes :
         {"RIFF\0\0\0\0WAVEfmt "s, "RF64\xff\xff\xff\xffWAVE"s, "fLaC\0"s, "OggS\0"s, "ID3\4"s, "\xff\xfb\x90\0"s,
          "\xff\xf1\x50\x80"s,
          "\0\0\0\x20"
          "ftypM4A "s,
          "caff\0\1"s, "FORM\0\0\0\0AIFF"s, "FORM\0\0\0\0AIFC"s, "\x1a\x45\xdf\xa3"s, "#!AMR\n"s, ".snd\0"s})
        CHECK(content(bytes) == FileContent::recording);
    for (const std::string& text : {"[board]\nname = \"x\"\n"s, "# Heron\r\n\r\n [ board ] # it\r\n"s,
                                    "\xef\xbb\xbf[board]\n"s, "board = { name = \"x\" }\n"s, "board.name = \"x\""s})
        CHECK(content(text) == FileContent::board_sheet);
    CHECK(content("SQLite format 3\0 and so on"s) == FileContent::database);
    for (const std::string& bytes : {""s, "RIFF\0\0\0\0AVI "s, "RIFF"s,
                                     "\xff\xfe"
                                     "a\0"s,
                                     "\xff"s, "\xff\xff\xff\xff"s, "boards = 1\n"s, "[[board]]\n"s, "Dear Ada"s,
                                     "SQLite format 3"s, "FORM\0\0\0\0ILBM"s})
        CHECK(content(bytes) == FileContent::other);
    CHECK_FALSE(look_at_file(folder.file("none")));
}

TEST_CASE("a refusal says what stands there and touches nothing") {
    const Folder folder;
    const std::string path = folder.file("out");
    const auto refusal = [&](const std::string& standing) {
        put(path, standing);
        const auto error = write_output(page_at(path), page_text());
        CHECK(content_of(path) == standing);
        CHECK(folder.files() == 1);
        return error ? error->what : "";
    };
    CHECK(refusal(page_text()) == "");
    CHECK(refusal(page_text(OutputKind::unit_page)) == "a unit page stands there, and this is to be a findings page");
    CHECK(refusal("<!DOCTYPE html>" + std::string(70000, ' ') +
                  "<p class=\"hint\">Made by tattletone 0.1.0.</p>\n</html>\n") ==
          "a page stands there that an earlier version of this program made");
    CHECK(refusal("fLaC") == "a recording stands there");
    CHECK(refusal("[board]") == "a board sheet stands there");
    CHECK(refusal("Dear Ada") == "a file stands there that this program did not make");
    CHECK(refusal("") == "a file stands there that this program did not make");
    CHECK(refusal(std::string("SQLite format 3\0", 16)) == "a logbook or another database stands there");
    OutputFile asked = page_at(path);
    CHECK(judge(asked)->todo == "Give another name: a database is never overwritten");
    put(path, "Dear Ada");
    CHECK(judge(asked)->todo == "Give another name");
    asked.overwrite_can_be_asked = true;
    CHECK(judge(asked)->todo == "Give another name, or --overwrite if it may go");
    asked.overwrite = true;
    REQUIRE_FALSE(write_output(asked, page_text()));
    CHECK(content_of(path) == page_text());
    CHECK(folder.files() == 1);
}

TEST_CASE("settings and the like replace themselves, but no recording and no board sheet") {
    const Folder folder;
    const OutputFile settings{OutputKind::own_file, folder.file("window.toml")};
    put(settings.path, "scale = 2\n");
    REQUIRE_FALSE(write_output(settings, "scale = 1\n"));
    CHECK(content_of(settings.path) == "scale = 1\n");
    for (const char* standing : {"fLaC", "[board]\n"}) {
        put(settings.path, standing);
        CHECK(write_output(settings, "scale = 1\n"));
        CHECK(content_of(settings.path) == standing);
    }
}

TEST_CASE("a killed writer leaves the old file whole, and the next one tidies up") {
    const Folder folder;
    const std::string path = folder.file("out.html");
    put(path, page_text());
    be_killed_while_writing(page_at(path), "half");
    CHECK(content_of(path) == page_text());
    CHECK(folder.files() == 2);
    const std::string next = page_text(OutputKind::findings_page, "next");
    REQUIRE_FALSE(write_output(page_at(path), next));
    CHECK(content_of(path) == next);
    CHECK(folder.files() == 1);
    be_killed_while_writing(page_at(folder.file("new.html")), "half");
    CHECK_FALSE(fs::exists(folder.file("new.html")));
    { REQUIRE(FileInMaking::begin(page_at(folder.file("new.html")))); }
    CHECK(folder.files() == 1);
}

TEST_CASE("what another process is making is not taken for a left-over") {
    const Folder folder;
    const OutputFile wanted = page_at(folder.file("out.html"));
    auto slow = FileInMaking::begin(wanted);
    REQUIRE(slow);
    std::fputs(page_text().c_str(), slow->stream());
    const pid_t child = fork();
    if (child == 0) _exit(write_output(wanted, page_text(OutputKind::findings_page, "quick")) ? 1 : 0);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WEXITSTATUS(status) == 0);
    REQUIRE(slow->put_in_place());
    CHECK(content_of(wanted.path) == page_text());
    CHECK(folder.files() == 1);
}

TEST_CASE("many writers at once: one whole file stands there, and no half-made one") {
    const Folder folder;
    const OutputFile wanted = page_at(folder.file("out.html"));
    std::atomic<int> refused{0};
    std::vector<std::thread> writers;
    for (int writer = 0; writer < 8; ++writer)
        writers.emplace_back([&, writer] {
            for (int turn = 0; turn < 25; ++turn)
                if (write_output(wanted, page_text(OutputKind::findings_page,
                                                   std::string(20000, static_cast<char>('a' + writer)))))
                    ++refused;
        });
    for (std::thread& writer : writers) writer.join();
    CHECK(refused == 0);
    const std::string content = content_of(wanted.path);
    const char letter = content.at(content.size() / 2);
    CHECK(content == page_text(OutputKind::findings_page, std::string(20000, letter)));
    CHECK(folder.files() == 1);
}

TEST_CASE("a place that is taken before the end is not replaced and another one is asked for") {
    const Folder folder;
    const OutputFile wanted{OutputKind::recording, folder.file("a.flac")};
    auto file = FileInMaking::begin(wanted);
    REQUIRE(file);
    std::fputs("sound", file->stream());
    put(wanted.path, "fLaC of somebody");
    const auto refused = file->put_in_place();
    REQUIRE_FALSE(refused);
    CHECK(refused.error().what == "a recording stands there");
    CHECK(content_of(wanted.path) == "fLaC of somebody");
    put(folder.file("a-1"), "also taken");
    const auto placed = file->put_in_place([&](int number) { return folder.file("a-" + std::to_string(number)); });
    REQUIRE(placed);
    CHECK(*placed == folder.file("a-2"));
    CHECK(content_of(*placed) == "sound");
    CHECK(folder.files() == 3);
}

TEST_CASE("inputs are known by identity") {
    const Folder folder;
    fs::create_directories(folder.file("inbox/deep"));
    put(folder.file("inbox/deep/take"), page_text());
    put(folder.file("own"), page_text());
    fs::create_hard_link(folder.file("own"), folder.file("hard"));
    fs::create_directory_symlink("inbox", folder.file("link"));
    const auto told = [&](const std::string& path, const std::string& input) {
        OutputFile wanted = page_at(folder.file(path));
        wanted.inputs = {folder.file(input)};
        wanted.overwrite = true;
        const auto error = judge(wanted);
        return error ? error->what : "";
    };
    const std::string reads = "the same command reads this file";
    CHECK(told("own", "own") == reads);
    CHECK(told("hard", "own") == reads);
    CHECK(told("./inbox/../own", "hard") == reads);
    CHECK(told("inbox/deep/take", "inbox") == reads);
    CHECK(told("link/deep/take", "inbox") == reads);
    CHECK(told("inbox/deep/take", "link") == reads);
    CHECK(told("own", "inbox") == "");
    CHECK(told("inbox/deep/new", "inbox") == "");
}

TEST_CASE("who may not write is told so, and nothing is touched") {
    const Folder folder;
    const std::string path = folder.file("out.html");
    put(path, page_text());
    REQUIRE(chmod(path.c_str(), 0644) == 0);
    REQUIRE(chmod(folder.path.c_str(), 0755) == 0);
    const pid_t child = fork();  // root may write everywhere: ask as somebody else
    if (child == 0) {
        if (geteuid() == 0 && seteuid(65534) != 0) _exit(3);
        if (geteuid() != 65534) _exit(77);
        const auto old = judge(page_at(path)), fresh = write_output(page_at(folder.file("new.html")), "x");
        _exit(old && old->what == "this file is write-protected" && fresh &&
                      fresh->what == "no permission to write there"
                  ? 0
                  : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    if (WEXITSTATUS(status) == 77)
        WARN("SKIPPED: not root, so nobody else to ask as; permissions were NOT tested");
    else
        CHECK(WEXITSTATUS(status) == 0);
    CHECK(content_of(path) == page_text());
    CHECK(folder.files() == 1);
}
