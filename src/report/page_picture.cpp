#include "report/page_picture.h"

#include <algorithm>
#include <cmath>

#include "report/number.h"
#include "report/utf8.h"
#include "report/words.h"

namespace tattletone {
namespace {

constexpr double width = 900.0, left = 60.0, right = 28.0, top = 26.0, spectrum_height = 250.0;
constexpr double ladder_height = 46.0, axis_height = 52.0;
constexpr double most_drawn_db = 1000.0, highest_drawn_hz = 1e10;  // beyond what a recording can hold

struct Axis {
    double low_hz, high_hz, low_dbfs, high_dbfs;
    double x(double hz) const {
        const double share =
            std::log(std::clamp(hz, low_hz, high_hz) / low_hz) / std::log(high_hz / low_hz);
        return left + share * (width - left - right);
    }
    double y(double dbfs) const {
        const double share =
            (high_dbfs - std::clamp(dbfs, low_dbfs, high_dbfs)) / (high_dbfs - low_dbfs);
        return top + share * spectrum_height;
    }
    bool holds(double hz) const { return hz >= low_hz && hz <= high_hz; }
};

std::string number(double value) {
    return trimmed(value, 1);
}

std::string line(double x1, double y1, double x2, double y2, const char* style) {
    return "<line x1=\"" + number(x1) + "\" y1=\"" + number(y1) + "\" x2=\"" + number(x2) +
           "\" y2=\"" + number(y2) + "\" class=\"" + style + "\"/>\n";
}

std::string label(double x, double y, const std::string& text, const char* style) {
    return "<text x=\"" + number(x) + "\" y=\"" + number(y) + "\" class=\"" + style + "\">" +
           escaped_html(text) + "</text>\n";
}

Axis axis_for(const Findings& findings) {
    const Tones& found = findings.unit.takes[0].found;
    Axis axis{std::max(20.0, found.usable.low_hz), found.usable.high_hz, 0.0, -200.0};
    for (const FloorPoint& point : found.floor) {
        if (!(std::abs(point.noise_dbfs_per_hz) <= most_drawn_db)) continue;
        axis.low_dbfs = std::min(axis.low_dbfs, point.noise_dbfs_per_hz);
        axis.high_dbfs = std::max(axis.high_dbfs, point.noise_dbfs_per_hz);
    }
    for (const UnitTone& tone : findings.unit.tones) {
        if (!(std::abs(tone.tone.level_dbfs) <= most_drawn_db)) continue;
        axis.low_dbfs = std::min(axis.low_dbfs, tone.tone.level_dbfs);
        axis.high_dbfs = std::max(axis.high_dbfs, tone.tone.level_dbfs);
    }
    axis.low_dbfs = 10.0 * std::floor(axis.low_dbfs / 10.0) - 5.0;
    axis.high_dbfs = 10.0 * std::ceil(axis.high_dbfs / 10.0) + 8.0;
    if (axis.high_dbfs <= axis.low_dbfs) axis.high_dbfs = axis.low_dbfs + 10.0;
    return axis;
}

std::string grid(const Axis& axis, double bottom) {
    std::string svg;
    for (double decade = 10.0; decade < axis.high_hz; decade *= 10.0) {
        for (const double step : {1.0, 2.0, 5.0}) {
            const double hz = decade * step;
            if (!axis.holds(hz)) continue;
            svg += line(axis.x(hz), top, axis.x(hz), bottom, "grid");
            svg += label(axis.x(hz), bottom + 20.0,
                         hz < 1000.0 ? trimmed(hz, 0) : trimmed(hz / 1e3, 0) + "k", "tick mid");
        }
    }
    const double step = axis.high_dbfs - axis.low_dbfs > 80.0 ? 20.0 : 10.0;
    for (const double db : multiples_between(axis.low_dbfs, axis.high_dbfs, step)) {
        svg += line(left, axis.y(db), width - right, axis.y(db), "grid");
        svg += label(left - 5.0, axis.y(db) + 4.0, trimmed(db, 0), "tick end");
    }
    return svg + label(width - right, bottom + 45.0, "frequency in Hz", "tick end") +
           label(4.0, 19.0, "dBFS", "tick");
}

std::string floor_line(const Axis& axis, const Tones& found) {
    std::string points;
    for (const FloorPoint& point : found.floor)
        if (axis.holds(point.hz))
            points +=
                number(axis.x(point.hz)) + "," + number(axis.y(point.noise_dbfs_per_hz)) + " ";
    return points.empty() ? "" : "<polyline points=\"" + points + "\" class=\"floor\"/>\n";
}

// Labels of the strongest tones, left out where they would lie on one another.
std::string tones(const Axis& axis, const Findings& findings) {
    std::string svg;
    std::vector<const UnitTone*> by_level;
    for (const UnitTone& tone : findings.unit.tones) {
        if (!axis.holds(tone.tone.hz) || std::isnan(tone.tone.level_dbfs)) continue;
        const bool board = tone.tone.origin == Origin::board;
        const double x = axis.x(tone.tone.hz), y = axis.y(tone.tone.level_dbfs);
        svg += line(x, y, x, top + spectrum_height, board ? "tone" : "other");
        svg += board ? "<circle cx=\"" + number(x) + "\" cy=\"" + number(y) +
                           "\" r=\"4\" class=\"head\"/>\n"
                     : "<rect x=\"" + number(x - 3.0) + "\" y=\"" + number(y - 3.0) +
                           "\" width=\"6\" height=\"6\" class=\"otherhead\"/>\n";
        if (board) by_level.push_back(&tone);
    }
    std::sort(by_level.begin(), by_level.end(), [](const UnitTone* a, const UnitTone* b) {
        return a->tone.level_dbfs > b->tone.level_dbfs;
    });
    std::vector<double> taken;
    for (const UnitTone* tone : by_level) {
        const double x = axis.x(tone->tone.hz);
        if (std::any_of(taken.begin(), taken.end(),
                        [&](double other) { return std::abs(other - x) < 34.0; }))
            continue;
        taken.push_back(x);
        svg += label(x, axis.y(tone->tone.level_dbfs) - 8.0, std::to_string(tone->id), "mark mid");
    }
    return svg;
}

bool meets_a_tone(const Findings& findings, const Line& line_of_rate, const std::string& rate) {
    for (const auto& [id, explanations] : findings.explained_by)
        for (const Explanation& explanation : explanations)
            if (explanation.rate == rate && explanation.kind == line_of_rate.kind &&
                explanation.order == line_of_rate.order && explanation.probability >= 0.5)
                return true;
    return false;
}

std::string ladder(const Axis& axis, const Findings& findings, const BoardSheet& sheet,
                   const Suspect& suspect, double y) {
    const auto rate =
        std::find_if(sheet.rates.begin(), sheet.rates.end(),
                     [&](const Rate& candidate) { return candidate.full_name == suspect.rate; });
    if (rate == sheet.rates.end()) return {};
    std::string svg =
        line(left, y + ladder_height - 6.0, width - right, y + ladder_height - 6.0, "grid");
    svg += label(left, y + 16.0, suspect.rate + "  " + probability_number(suspect.probability),
                 "mark");
    LineLimits limits;
    limits.low_hz = axis.low_hz;
    limits.high_hz = axis.high_hz;
    std::string filled;
    for (const Line& rung : lines_of(sheet, static_cast<int>(rate - sheet.rates.begin()), limits)) {
        if (rung.kind != LineKind::harmonic) continue;
        const double x1 = axis.x(rung.low_hz), x2 = axis.x(rung.high_hz);
        const bool met = meets_a_tone(findings, rung, suspect.rate);
        (met ? filled : svg) += "<rect x=\"" + number(x1 - 1.0) + "\" y=\"" + number(y + 22.0) +
                                "\" width=\"" + number(std::max(2.0, x2 - x1 + 2.0)) +
                                "\" height=\"16\" class=\"" + (met ? "met" : "rung") + "\"/>\n";
    }
    return svg + filled;
}

}  // namespace

std::string escaped_html(const std::string& text) {
    std::string safe;
    for (const char c : printable(text)) {
        if (c == '&')
            safe += "&amp;";
        else if (c == '<')
            safe += "&lt;";
        else if (c == '>')
            safe += "&gt;";
        else if (c == '"')
            safe += "&quot;";
        else
            safe += c;
    }
    return safe;
}

std::string picture_svg(const Findings& findings, const BoardSheet* sheet) {
    if (findings.unit.takes.empty()) return {};
    const Tones& found = findings.unit.takes[0].found;
    if (!(found.usable.high_hz > std::max(20.0, found.usable.low_hz))) return {};
    if (found.usable.high_hz > highest_drawn_hz) return {};
    const Axis axis = axis_for(findings);
    const std::size_t ladders =
        sheet == nullptr ? 0 : std::min(findings.suspects.size(), most_ladders);
    const double bottom = top + spectrum_height + static_cast<double>(ladders) * ladder_height +
                          (ladders > 0 ? 8.0 : 0.0);
    std::string svg = "<svg viewBox=\"0 0 " + number(width) + " " + number(bottom + axis_height) +
                      "\" role=\"img\" aria-labelledby=\"picture-title\">\n<title "
                      "id=\"picture-title\">Noise floor of the first "
                      "recording with the tones found" +
                      std::string(ladders > 0 ? ", and where the suspects' lines stand" : "") +
                      "</title>\n";
    svg += grid(axis, bottom) + floor_line(axis, found) + tones(axis, findings);
    for (std::size_t i = 0; i < ladders; ++i)
        svg += ladder(axis, findings, *sheet, findings.suspects[i],
                      top + spectrum_height + 8.0 + static_cast<double>(i) * ladder_height);
    return svg + "</svg>\n";
}

}  // namespace tattletone
