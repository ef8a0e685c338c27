#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

#include "logbook/spoil.h"
#include "logbook/storage/check.h"
#include "logbook/storage/copies.h"
#include "support/names.h"

using namespace tattletone;

namespace {

OutputFile copy_at(const std::string& path) {
    return {OutputKind::logbook_copy, path};
}

}  // namespace

TEST_CASE("half-made files of the dead are told and taken away, those of the living are left") {
    const Folder folder;
    const std::string clip = whining_clip(folder), book = folder.file("book");
    REQUIRE_FALSE(fill_book(book, "7", clip).empty());
    auto logbook = Logbook::open(book, Logbook::Mode::existing);
    REQUIRE(logbook);
    const std::string id = "01234567-89ab-4cde-8f01-23456789abcd";
    const std::set<std::string> left = {"book.merge-" + id,
                                        "book.merge-" + id + "-wal",
                                        "book.part-" + id,
                                        "book.part-" + id + "-journal",
                                        "book.clips/incoming-" + id + ".flac",
                                        "book.at-work-0123456789abcdef"};
    const std::set<std::string> users = {"book.merge-notes.txt", "book.part-2", "other.part-" + id};
    const auto write_all = [&] {
        for (const std::string& name : left) write_bytes(folder.file(name), "half");
    };
    const auto all_there = [&] {
        return std::all_of(left.begin(), left.end(),
                           [&](const auto& name) { return std::filesystem::exists(folder.file(name)); });
    };
    for (const std::string& name : users) write_bytes(folder.file(name), "mine");
    write_all();
    auto report = check_logbook(*logbook, false, {});
    REQUIRE(report);
    CHECK(report->half_made.size() == left.size());
    CHECK_FALSE(report->half_made_removed);
    CHECK(report->unneeded == 0);
    CHECK(all_there());
    {
        const auto alive = ClipGuard::take(*logbook, ClipGuard::Purpose::storing);
        REQUIRE(alive);
        write_all();
        const auto also = ClipGuard::take(*logbook, ClipGuard::Purpose::storing);
        REQUIRE(also);
        const auto at_work =
            FileLock::take(folder.file("book.at-work-0123456789abcdef"), FileLock::Kind::exclusive, 0.0);
        REQUIRE(at_work);
        CHECK(all_there());
        CHECK(check_logbook(*logbook, false, {})->half_made.empty());
    }
    report = check_logbook(*logbook, true, {});
    REQUIRE(report);
    CHECK(report->half_made.size() == left.size());
    CHECK(report->half_made_removed);
    CHECK(check_logbook(*logbook, false, {})->half_made.empty());
    for (const std::string& name : left) CHECK_FALSE(std::filesystem::exists(folder.file(name)));
    // Or by the next one that is at work there.
    write_all();
    REQUIRE(back_up(*logbook, copy_at(folder.file("copy"))));
    for (const std::string& name : left) CHECK_FALSE(std::filesystem::exists(folder.file(name)));
    write_bytes(folder.file("copy.part-" + id), "half");
    REQUIRE(back_up(*logbook, copy_at(folder.file("copy"))));
    CHECK_FALSE(std::filesystem::exists(folder.file("copy.part-" + id)));
    for (const std::string& name : users) CHECK(bytes_of(folder.file(name)) == "mine");
}
