#include "command/inbox.h"

#include <algorithm>
#include <filesystem>

#include "base/files/paths.h"
#include "base/text/number.h"

namespace tattletone::command {

namespace fs = std::filesystem;

Inbox inbox_of(const std::string& folder) {
    Inbox inbox;
    std::vector<std::string> folders = {folder};
    while (!folders.empty()) {
        const std::string here = std::move(folders.back());
        folders.pop_back();
        std::error_code problem;
        for (fs::directory_iterator entry(base::path_of(here), problem), end; !problem && entry != end;
             entry.increment(problem)) {
            const std::string path = base::utf8_of(entry->path());
            std::error_code hidden;  // the entry's trouble is not the folder's
            const fs::file_status itself = entry->symlink_status(hidden);
            const fs::file_status status = entry->status(hidden);
            if (fs::is_directory(itself))
                folders.push_back(path);
            else if (fs::is_regular_file(status) || !fs::status_known(status) || !fs::exists(status))
                inbox.files.push_back(path);
            else
                inbox.others.push_back(path);
        }
        if (problem) inbox.closed.push_back(here);
    }
    for (std::vector<std::string>* list : {&inbox.files, &inbox.others, &inbox.closed})
        std::sort(list->begin(), list->end());
    return inbox;
}

std::string InboxTally::text() const {
    std::string line = std::to_string(taken) + " of " + base::count_of(files(), "clip", "clips") + " taken in";
    const auto add = [&](int count, const char* one, const char* many) {
        if (count > 0) line += ", " + base::count_of(count, one, many);
    };
    add(before, "was there before", "were there before");
    add(broken, "cannot be read", "cannot be read");
    if (known_broken > 0) line += " (" + std::to_string(known_broken) + " of them told by an earlier run)";
    add(later, "could not be looked at now and is tried again by the next run",
        "could not be looked at now and are tried again by the next run");
    add(busy, "is with another process", "are with another process");
    add(others, "is no file", "are no files");
    line += '.';
    if (closed > 0)
        line += ' ' + base::count_of(closed, "folder", "folders") +
                " could not be looked into; what lies there is not counted.";
    return line + '\n';
}

}  // namespace tattletone::command
