#include "window/platform/system_places.h"

#include <cstdlib>
#include <filesystem>

#include "base/files/paths.h"

namespace tattletone::window {
namespace {

namespace fs = std::filesystem;

std::string variable(const char* name) {
    const char* value = std::getenv(name);
    return value != nullptr ? value : "";
}

bool holds_demo(const fs::path& folder) {
    std::error_code problem;
    return fs::is_regular_file(folder / "limpet.toml", problem);
}

#if defined(_WIN32)
const char* const home_variable = "USERPROFILE";
#else
const char* const home_variable = "HOME";
#endif

}  // namespace

std::string settings_folder() {
#if defined(_WIN32)
    const std::string base = variable("APPDATA");
    return base.empty() ? "" : base + "/Tattletone";
#elif defined(__APPLE__)
    const std::string home = variable(home_variable);
    return home.empty() ? "" : home + "/Library/Application Support/Tattletone";
#else
    const std::string base = variable("XDG_CONFIG_HOME");
    if (!base.empty() && base[0] == '/') return base + "/tattletone";
    const std::string home = variable(home_variable);
    return home.empty() ? "" : home + "/.config/tattletone";
#endif
}

std::string default_save_folder() {
    const std::string home = variable(home_variable);
    if (home.empty()) return ".";
    std::error_code problem;
    const fs::path documents = base::path_of(home) / "Documents";
    return fs::is_directory(documents, problem) ? base::utf8_of(documents / "Tattletone") : home + "/Tattletone";
}

std::string demo_folder() {
    std::error_code problem;
    std::vector<fs::path> starts = {fs::current_path(problem), fs::path(TATTLETONE_SAMPLES).parent_path()};
#if defined(__linux__)
    starts.push_back(fs::read_symlink("/proc/self/exe", problem).parent_path());
#endif
    for (fs::path folder : starts)
        for (int up = 0; up < 6 && !folder.empty(); ++up, folder = folder.parent_path())
            if (holds_demo(folder / "samples")) return base::utf8_of(folder / "samples");
    return "";
}

std::vector<std::string> text_fonts() {
#if defined(_WIN32)
    return {"C:/Windows/Fonts/segoeui.ttf", "C:/Windows/Fonts/arial.ttf"};
#elif defined(__APPLE__)
    return {"/System/Library/Fonts/SFNS.ttf", "/System/Library/Fonts/Supplemental/Arial.ttf"};
#else
    return {"/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
            "/usr/share/fonts/TTF/DejaVuSans.ttf", "/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf",
            "/usr/share/fonts/truetype/noto/NotoSans-Regular.ttf"};
#endif
}

}  // namespace tattletone::window
