#include "command/arguments/board_file.h"

#include "board/sheet/nearest.h"
#include "board/sheet/sheet_reader.h"
#include "command/terminal/console.h"

namespace tattletone::command {

std::optional<board::BoardSheet> load_board(const std::string& path) {
    board::SheetReading reading = board::read_sheet(path);
    for (const board::SheetError& error : reading.errors) tell(board::to_error(error));
    return std::move(reading.sheet);
}

std::optional<int> find_state(const board::BoardSheet& sheet, const std::string& state) {
    if (state.empty()) return -1;
    const int index = sheet.state_index(state);
    if (index >= 0) return index;
    std::string list;
    for (const std::string& known : sheet.states) list += (list.empty() ? "'" : ", '") + known + "'";
    tell({sheet.path, "there is no state '" + state + "' in this board sheet",
          list.empty() ? "List the states under [board]: states = [\"…\"]" : "Its states are " + list});
    return std::nullopt;
}

}  // namespace tattletone::command
