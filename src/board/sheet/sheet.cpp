#include "board/sheet/sheet.h"

#include <algorithm>

namespace tattletone::board {

int BoardSheet::state_index(const std::string& state) const {
    const auto found = std::find(states.begin(), states.end(), state);
    return found == states.end() ? -1 : static_cast<int>(found - states.begin());
}

bool BoardSheet::active(const Rate& rate, int state) const {
    if (state < 0 || rate.active_in.empty()) return true;
    return std::find(rate.active_in.begin(), rate.active_in.end(), state) != rate.active_in.end();
}

}  // namespace tattletone::board
