#include "command/board_file.h"

#include "board/nearest.h"
#include "board/sheet_reader.h"
#include "command/console.h"

namespace tattletone {

std::optional<BoardSheet> load_board(const std::string& path) {
    SheetReading reading = read_sheet(path);
    for (const SheetError& error : reading.errors) tell(to_error(error));
    return std::move(reading.sheet);
}

std::optional<int> find_state(const BoardSheet& sheet, const std::string& state) {
    const int index = sheet.state_index(state);
    if (index >= 0) return index;
    std::string list;
    for (const std::string& known : sheet.states)
        list += (list.empty() ? "'" : ", '") + known + "'";
    tell({sheet.path, "there is no state '" + state + "' in this board sheet",
          list.empty() ? "List the states under [board]: states = [\"…\"]"
                       : "Its states are " + list});
    return std::nullopt;
}

}  // namespace tattletone
