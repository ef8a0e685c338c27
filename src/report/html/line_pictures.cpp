#include "report/html/line_pictures.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/html/page_picture.h"
#include "report/html/svg.h"

namespace tattletone::report {
namespace {

constexpr double width = 900.0, left = 60.0, right = 16.0, top = 46.0, height = 200.0;

std::string framed(const std::string& title, double total_height, const std::string& content) {
    return "<svg viewBox=\"0 0 " + svg_number(width) + " " + svg_number(total_height) + "\" role=\"img\">\n<title>" +
           escaped_html(title) + "</title>\n" + content + "</svg>\n";
}

struct LevelAxis {
    double low = 0.0, high = 0.0;
    double y(double dbfs) const { return top + height * (high - dbfs) / (high - low); }
};

// A mark far outside what a recording can hold would leave the others on one line.
bool can_be_drawn(const LevelMark& mark) {
    return mark.known && std::abs(mark.level_dbfs) <= 1000.0;
}

bool extend(LevelAxis& axis, const std::vector<LevelMark>& marks, bool begun) {
    for (const LevelMark& mark : marks) {
        if (!can_be_drawn(mark)) continue;
        axis.low = begun ? std::min(axis.low, mark.level_dbfs) : mark.level_dbfs;
        axis.high = begun ? std::max(axis.high, mark.level_dbfs) : mark.level_dbfs;
        begun = true;
    }
    return begun;
}

std::string grid(LevelAxis& axis) {
    axis.low = 10.0 * std::floor(axis.low / 10.0 - 0.3);
    axis.high = 10.0 * std::ceil(axis.high / 10.0 + 0.3);
    const double step = axis.high - axis.low > 60.0 ? 20.0 : 10.0;
    std::string svg = svg_text(4.0, 20.0, "dBFS", "tick");
    for (const double db : base::multiples_between(axis.low, axis.high, step))
        svg += svg_line(left, axis.y(db), width - right, axis.y(db), "grid") +
               svg_text(left - 5.0, axis.y(db) + 4.0, base::trimmed(db, 0), "tick end");
    return svg;
}

std::string mark_at(double x, const LevelAxis& axis, const LevelMark& mark) {
    if (!can_be_drawn(mark)) return {};
    const double y = axis.y(mark.level_dbfs);
    if (mark.heard)
        return "<circle cx=\"" + svg_number(x) + "\" cy=\"" + svg_number(y) + "\" r=\"5\" class=\"seen\"/>\n";
    return "<path d=\"M" + svg_number(x - 5.0) + " " + svg_number(y) + "h10l-5 9z\" class=\"bound\"/>\n";
}

}  // namespace

std::string history_svg(const std::string& title, const std::vector<LevelMark>& marks) {
    LevelAxis axis;
    if (!extend(axis, marks, false)) return {};
    std::string svg = grid(axis);
    const double step = (width - left - right) / static_cast<double>(marks.size());
    const std::size_t every = marks.size() / 6 + 1;
    double last_x = 0.0, last_y = 0.0;
    bool joined = false;
    std::string heads;
    for (std::size_t i = 0; i < marks.size(); ++i) {
        const double x = left + step * (static_cast<double>(i) + 0.5);
        if (i % every == 0) svg += svg_text(x, top + height + 24.0, marks[i].label, "tick mid");
        const double y = axis.y(marks[i].level_dbfs);
        const bool shown = marks[i].heard && can_be_drawn(marks[i]);
        if (shown && joined) svg += svg_line(last_x, last_y, x, y, "link");
        joined = shown;
        last_x = x, last_y = y;
        heads += mark_at(x, axis, marks[i]);
    }
    return framed(title, top + height + 34.0, svg + heads);
}

std::string sides_svg(const std::string& title, const std::string& name_a, const std::string& name_b,
                      const std::vector<LevelMark>& a, const std::vector<LevelMark>& b, bool paired) {
    LevelAxis axis;
    if (!extend(axis, b, extend(axis, a, false))) return {};
    std::string svg = grid(axis), heads;
    const double x_of[2] = {left + 0.3 * (width - left - right), left + 0.7 * (width - left - right)};
    svg += svg_text(x_of[0], top + height + 24.0, name_a, "mark mid");
    svg += svg_text(x_of[1], top + height + 24.0, name_b, "mark mid");
    const auto x_at = [&](int side, std::size_t i, std::size_t count) {
        // Unpaired ones are fanned out, so that equal levels do not hide one another.
        const double fan = paired || count < 2 ? 0.0 : static_cast<double>(i) / static_cast<double>(count - 1) - 0.5;
        return x_of[side] + 120.0 * fan;
    };
    if (paired)
        for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
            if (can_be_drawn(a[i]) && can_be_drawn(b[i]))
                svg += svg_line(x_of[0], axis.y(a[i].level_dbfs), x_of[1], axis.y(b[i].level_dbfs), "link");
    for (std::size_t i = 0; i < a.size(); ++i) heads += mark_at(x_at(0, i, a.size()), axis, a[i]);
    for (std::size_t i = 0; i < b.size(); ++i) heads += mark_at(x_at(1, i, b.size()), axis, b[i]);
    return framed(title, top + height + 34.0, svg + heads);
}

std::string shares_svg(const std::string& title, const std::vector<ShareBar>& bars) {
    if (bars.empty()) return {};
    constexpr double row = 58.0, names = 24.0;
    const double bottom = top + row * static_cast<double>(bars.size());
    const auto x = [&](double share) { return names + share * (width - names - 40.0); };
    std::string svg;
    for (int percent = 0; percent <= 100; percent += 25)
        svg += svg_line(x(0.01 * percent), top, x(0.01 * percent), bottom, "grid") +
               svg_text(x(0.01 * percent), bottom + 24.0, std::to_string(percent) + " %", "tick mid");
    for (std::size_t i = 0; i < bars.size(); ++i) {
        const double y = top + row * (static_cast<double>(i) + 0.7);
        svg += svg_text(x(0.0), y - 14.0, bars[i].label, "mark");
        svg += "<rect x=\"" + svg_number(x(0.0)) + "\" y=\"" + svg_number(y - 7.0) + "\" width=\"" +
               svg_number(x(bars[i].share) - x(0.0)) + "\" height=\"14\" class=\"share\"/>\n";
        svg += svg_line(x(bars[i].low), y, x(bars[i].high), y, "whisker");
        for (const double end : {bars[i].low, bars[i].high})
            svg += svg_line(x(end), y - 6.0, x(end), y + 6.0, "whisker");
    }
    return framed(title, bottom + 34.0, svg);
}

}  // namespace tattletone::report
