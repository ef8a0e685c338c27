#pragma once

#include <string>

#include "board/sheet/sheet.h"
#include "match/findings.h"

namespace tattletone::report {

inline constexpr std::size_t most_ladders = 5;

/// An SVG of the first recording's noise floor with all tones, and below it, on the same axis, the
/// lines of up to `most_ladders` suspects. Empty when the recording has no usable band.
std::string picture_svg(const match::Findings& findings, const board::BoardSheet* sheet);

/// `text` for HTML content and double-quoted attributes.
std::string escaped_html(const std::string& text);

}  // namespace tattletone::report
