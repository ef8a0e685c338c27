#include "window/places.h"

#include <cstdlib>
#include <filesystem>
#include <fstream>

namespace tattletone {

Places::Places() {
    if (const char* path = std::getenv("TATTLETONE_PLACES")) path_ = path;
}

void Places::note(const std::string& name, float x, float y, float width, float height) {
    if (path_.empty()) return;
    now_[name] = std::to_string(static_cast<int>(x)) + ' ' + std::to_string(static_cast<int>(y)) +
                 ' ' + std::to_string(static_cast<int>(width)) + ' ' +
                 std::to_string(static_cast<int>(height));
}

void Places::end() {
    if (path_.empty() || now_ == written_) return;
    written_ = now_;
    {
        std::ofstream file(path_ + ".part");
        for (const auto& [name, place] : now_) file << place << ' ' << name << '\n';
    }
    std::error_code problem;
    std::filesystem::rename(path_ + ".part", path_, problem);
}

}  // namespace tattletone
