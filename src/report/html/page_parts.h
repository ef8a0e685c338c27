#pragma once

#include <string>
#include <vector>

#include "base/files/output_kind.h"
#include "board/sheet/sheet.h"
#include "match/findings.h"

namespace tattletone::report {

/// The pieces of which every page is made. All give HTML; text that comes in is escaped.

/// A whole page that needs nothing else: the title, the answer as its heading, and `body` (HTML).
/// It carries the mark of its kind.
std::string page_of(base::OutputKind kind, const std::string& title, const std::string& answer,
                    const std::string& body);

std::string html_tag(const std::string& name, const std::string& text);  ///< an element of text
std::string html_cell(const std::string& text, bool is_number = false);  ///< of a table

/// Sections with their headings; empty where there is nothing to say. `sheet` may be null: no ladders.
/// The head of a page, behind the headline: what is heard, for and against, others, what is open, what to do next, as
/// `AnswerParts` has them. What the headline says already is not said again.
std::string page_answer(const match::Findings& findings, const std::string& headline);
std::string page_picture(const match::Findings& findings, const board::BoardSheet* sheet);
std::string page_tone_tables(const match::Findings& findings);
/// `more`: sentences of the caller.
std::string page_conditions(const match::Findings& findings, const std::vector<std::string>& more);
std::string page_cautions();

}  // namespace tattletone::report
