#include "command/whole_file.h"

#include <chrono>
#include <filesystem>
#include <fstream>

namespace tattletone {

std::optional<Error> write_whole_file(const std::string& path, std::string_view content) {
    namespace fs = std::filesystem;
    const fs::path target(std::u8string(path.begin(), path.end()));
    std::error_code problem;
    if (fs::is_directory(target, problem))
        return Error{path, "this is a folder", "Give the name of a file in it"};
    const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
    if (!fs::is_directory(folder, problem))
        return Error{path, "its folder does not exist", "Make the folder first"};
    if (fs::exists(target, problem) && !fs::is_regular_file(target, problem)) {
        // A device or a pipe cannot be replaced; it is written straight.
        std::ofstream stream(target, std::ios::binary);
        stream.write(content.data(), static_cast<std::streamsize>(content.size()));
        stream.close();
        if (!stream)
            return Error{path, "it could not be written",
                         "Check that you may write there and that there is room"};
        return std::nullopt;
    }
    fs::path beside = target;
    const auto stamp = std::chrono::steady_clock::now().time_since_epoch().count();
    beside += ".part-" + std::to_string(stamp);
    std::ofstream stream(beside, std::ios::binary);
    if (!stream)
        return Error{path, "it cannot be written", "Check that you may write in that folder"};
    stream.write(content.data(), static_cast<std::streamsize>(content.size()));
    stream.close();
    if (!stream) {
        fs::remove(beside, problem);
        return Error{path, "it could not be written to its end",
                     "Make room on the disk and run the same command again"};
    }
    fs::rename(beside, target, problem);
    if (problem) {
        fs::remove(beside, problem);
        return Error{path, "it could not be replaced", "Check that you may write the file"};
    }
    return std::nullopt;
}

}  // namespace tattletone
