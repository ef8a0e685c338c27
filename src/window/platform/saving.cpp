#include "window/platform/saving.h"

#include <algorithm>
#include <cctype>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <vector>

#include <stb_image_write.h>

#include "base/files/paths.h"
#include "base/text/lower_case.h"

namespace tattletone::window {
namespace {

namespace fs = std::filesystem;

bool could_be_opened(const fs::path& path) {
    static const char* const endings[] = {".toml", ".csv", ".wav",  ".flac", ".ogg", ".opus", ".mp3",  ".m4a", ".aac",
                                          ".3gp",  ".amr", ".webm", ".mp4",  ".mov", ".mkv",  ".aiff", ".caf"};
    const std::string ending = base::lower_case(base::utf8_of(path.extension()));
    return std::find(std::begin(endings), std::end(endings), ending) != std::end(endings);
}

}  // namespace

std::string content_of(const std::string& path) {
    constexpr std::size_t most_bytes = 1 << 16;
    std::ifstream file(base::path_of(path), std::ios::binary);
    std::string content(most_bytes, '\0');
    file.read(content.data(), static_cast<std::streamsize>(content.size()));
    content.resize(static_cast<std::size_t>(file.gcount()));
    return content;
}

std::optional<Error> save_text(const std::string& path, base::OutputKind kind, std::string_view content) {
    std::error_code problem;
    fs::create_directories(base::path_of(path).parent_path(), problem);
    return base::write_output({kind, path}, content);
}

std::optional<Error> save_png(const std::string& path, std::span<const std::uint8_t> pixels, int width, int height) {
    const auto row = static_cast<std::size_t>(width) * 4;
    std::vector<std::uint8_t> turned(pixels.size());
    for (std::size_t y = 0; y < static_cast<std::size_t>(height); ++y) {
        const auto from = pixels.subspan(y * row, row);
        std::copy(from.begin(), from.end(),
                  turned.begin() + static_cast<std::ptrdiff_t>((static_cast<std::size_t>(height) - 1 - y) * row));
    }
    for (std::size_t i = 3; i < turned.size(); i += 4) turned[i] = 255;
    std::string png;
    const auto gather = [](void* context, void* data, int size) {
        static_cast<std::string*>(context)->append(static_cast<const char*>(data), static_cast<std::size_t>(size));
    };
    if (stbi_write_png_to_func(gather, &png, width, height, 4, turned.data(), static_cast<int>(row)) == 0)
        return Error{path, "the picture could not be made", "Make the window smaller and try again"};
    return save_text(path, base::OutputKind::window_picture,
                     base::png_with_mark(std::move(png), base::OutputKind::window_picture));
}

std::string new_path(const std::string& folder, const std::string& ending) {
    const std::time_t now = std::time(nullptr);
    char stamp[32] = "";
    std::strftime(stamp, sizeof stamp, "%Y-%m-%d %H.%M.%S", std::localtime(&now));
    std::error_code problem;
    for (int number = 1;; ++number) {
        const std::string name =
            "tattletone " + std::string(stamp) + (number > 1 ? " (" + std::to_string(number) + ")" : "") + ending;
        const fs::path path = base::path_of(folder) / base::path_of(name);
        if (!fs::exists(path, problem)) return base::utf8_of(path);
    }
}

FolderView look_into(const std::string& folder) {
    FolderView view;
    std::error_code problem;
    const fs::path whole = fs::weakly_canonical(base::path_of(folder.empty() ? "." : folder), problem);
    view.folder = problem ? folder : base::utf8_of(whole);
    std::vector<FolderView::Entry> folders, files;
    fs::directory_iterator entries(whole, problem);
    if (problem) view.trouble = "This folder cannot be read. Choose another one.";
    for (; !problem && entries != fs::directory_iterator(); entries.increment(problem)) {
        const std::string name = base::utf8_of(entries->path().filename());
        std::error_code unknown;
        if (name.empty() || name[0] == '.') continue;
        if (entries->is_directory(unknown))
            folders.push_back({name, true});
        else if (could_be_opened(entries->path()))
            files.push_back({name, false});
    }
    const auto by_name = [](const FolderView::Entry& a, const FolderView::Entry& b) { return a.name < b.name; };
    std::sort(folders.begin(), folders.end(), by_name);
    std::sort(files.begin(), files.end(), by_name);
    view.entries.push_back({"..", true});
    view.entries.insert(view.entries.end(), folders.begin(), folders.end());
    view.entries.insert(view.entries.end(), files.begin(), files.end());
    return view;
}

}  // namespace tattletone::window
