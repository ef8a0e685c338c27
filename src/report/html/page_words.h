#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "logbook/units/units.h"
#include "match/findings.h"

namespace tattletone::report {

/// "take.flac" of "/home/ada/bench/take.flac": where a file lay is nobody's business on a page.
std::string file_name_of(const std::string& path);
/// The folders go, and what the kept findings lack comes from the sheet, which may be null: the
/// board's and the parts' names.
void ready_for_page(match::Findings& findings, const board::BoardSheet* sheet);

/// The sheet with that hash; nothing where it is empty or this version cannot read it.
std::optional<board::BoardSheet> sheet_for_page(logbook::Logbook& logbook, const std::string& hash);

std::string html_list(const std::vector<std::string>& sentences);

/// A table with its titles; cells are text.
struct PageTable {
    std::vector<std::string> titles;
    std::vector<std::vector<std::string>> rows;
    std::vector<bool> is_number;  ///< by column
};
std::string html_table(const PageTable& table);

/// A picture with its heading and a line that explains it; empty without a picture.
std::string html_figure(const std::string& heading, const std::string& svg, const std::string& hint);

/// What these measurements cannot tell, whatever they found.
std::string page_limits(std::vector<std::string> more);

}  // namespace tattletone::report
