#include "window/platform/places.h"

#include <cstdlib>

#include "base/files/output_file.h"

namespace tattletone::window {

Places::Places() {
    if (const char* path = std::getenv("TATTLETONE_PLACES")) path_ = path;
}

void Places::note(const std::string& name, float x, float y, float width, float height) {
    if (path_.empty()) return;
    now_[name] = std::to_string(static_cast<int>(x)) + ' ' + std::to_string(static_cast<int>(y)) + ' ' +
                 std::to_string(static_cast<int>(width)) + ' ' + std::to_string(static_cast<int>(height));
}

void Places::end() {
    if (path_.empty() || now_ == written_) return;
    written_ = now_;
    std::string lines;
    for (const auto& [name, place] : now_) lines += place + ' ' + name + '\n';
    (void)base::write_output({base::OutputKind::own_file, path_}, lines);
}

}  // namespace tattletone::window
