#pragma once

#include <string>

namespace tattletone::report {

/// Pieces of a picture on a page, each ending its line; `style` is a class of the page's style sheet.
std::string svg_number(double value);
std::string svg_line(double x1, double y1, double x2, double y2, const char* style);
std::string svg_text(double x, double y, const std::string& text, const char* style);

}  // namespace tattletone::report
