#include "command/arguments/folders.h"

#include <cstdlib>

namespace tattletone::command {

std::string environment(const char* name) {
    const char* value = std::getenv(name);
    return value == nullptr ? "" : value;
}

std::string user_data_folder() {
#if defined(_WIN32)
    const std::string base = environment("APPDATA");
#elif defined(__APPLE__)
    const std::string home = environment("HOME");
    const std::string base = home.empty() ? "" : home + "/Library/Application Support";
#else
    std::string base = environment("XDG_DATA_HOME");
    // The specification wants relative paths ignored.
    if (base.empty() || base[0] != '/') {
        const std::string home = environment("HOME");
        base = home.empty() ? "" : home + "/.local/share";
    }
#endif
    return base.empty() ? "" : base + "/tattletone";
}

std::string user_name() {
    for (const char* name : {"USER", "LOGNAME", "USERNAME"})
        if (const std::string user = environment(name); !user.empty()) return user;
    return {};
}

}  // namespace tattletone::command
