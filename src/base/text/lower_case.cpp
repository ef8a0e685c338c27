#include "base/text/lower_case.h"

namespace tattletone::base {

std::string lower_case(std::string_view text) {
    std::string low(text);
    for (char& c : low)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return low;
}

}  // namespace tattletone::base
