#pragma once

#include "board/sheet.h"
#include "board/sheet_table.h"
#include "board/toml.h"

namespace tattletone {

/// The board that the tables declare. Only good when nothing was added to `complaints`.
BoardSheet model_of(const toml::table& root, Complaints& complaints);

}  // namespace tattletone
