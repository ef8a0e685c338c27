#pragma once

#include <string>
#include <vector>

#include "base/output_kind.h"
#include "board/sheet.h"
#include "match/findings.h"

namespace tattletone {

/// The pieces of which every page is made. All give HTML; text that comes in is escaped.

/// A whole page that needs nothing else: the title, the answer as its heading, and `body` (HTML).
/// It carries the mark of its kind.
std::string page_of(OutputKind kind, const std::string& title, const std::string& answer, const std::string& body);

std::string html_tag(const std::string& name, const std::string& text);   ///< an element of text
std::string html_cell(const std::string& text, bool is_number = false);   ///< of a table

/// Sections with their headings; empty where there is nothing to say. `sheet` may be null: no ladders.
std::string page_suspects(const Findings& findings);
std::string page_picture(const Findings& findings, const BoardSheet* sheet);
std::string page_tone_tables(const Findings& findings);
/// `more`: sentences of the caller.
std::string page_conditions(const Findings& findings, const std::vector<std::string>& more);
std::string page_cautions();

}  // namespace tattletone
