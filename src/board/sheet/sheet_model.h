#pragma once

#include "board/sheet/sheet.h"
#include "board/sheet/sheet_table.h"
#include "board/sheet/toml.h"

namespace tattletone::board {

/// The board that the tables declare. Only good when nothing was added to `diagnostics`.
BoardSheet model_of(const toml::table& root, Diagnostics& diagnostics);

}  // namespace tattletone::board
