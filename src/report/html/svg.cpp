#include "report/html/svg.h"

#include "base/text/number.h"
#include "report/html/page_picture.h"

namespace tattletone::report {

std::string svg_number(double value) {
    return base::trimmed(value, 1);
}

std::string svg_line(double x1, double y1, double x2, double y2, const char* style) {
    return "<line x1=\"" + svg_number(x1) + "\" y1=\"" + svg_number(y1) + "\" x2=\"" + svg_number(x2) + "\" y2=\"" +
           svg_number(y2) + "\" class=\"" + style + "\"/>\n";
}

std::string svg_text(double x, double y, const std::string& text, const char* style) {
    return "<text x=\"" + svg_number(x) + "\" y=\"" + svg_number(y) + "\" class=\"" + style + "\">" +
           escaped_html(text) + "</text>\n";
}

}  // namespace tattletone::report
