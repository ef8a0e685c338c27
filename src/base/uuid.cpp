#include "base/uuid.h"

#include <random>

namespace tattletone::base {

std::string random_uuid() {
    std::random_device device;
    std::string id;
    for (int i = 0; i < 32; ++i) {
        unsigned digit = device() & 15u;
        if (i == 12) digit = 4;
        if (i == 16) digit = 8u | (digit & 3u);
        if (i == 8 || i == 12 || i == 16 || i == 20) id += '-';
        id += "0123456789abcdef"[digit];
    }
    return id;
}

bool is_uuid(std::string_view text) {
    if (text.size() != 36) return false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool dash = i == 8 || i == 13 || i == 18 || i == 23;
        if (dash ? text[i] != '-' : std::string_view("0123456789abcdef").find(text[i]) == std::string_view::npos)
            return false;
    }
    return true;
}

}  // namespace tattletone::base
