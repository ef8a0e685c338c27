#include "report/html/page_picture.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/html/svg.h"
#include "report/text/columns.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr double width = 900.0, left = 60.0, right = 28.0, top = 26.0, spectrum_height = 250.0;
constexpr double ladder_height = 46.0, axis_height = 52.0;
constexpr double most_drawn_db = 1000.0, highest_drawn_hz = 1e10;  // beyond what a recording can hold

struct Axis {
    double low_hz, high_hz, low_dbfs, high_dbfs;
    double x(double hz) const {
        const double share = std::log(std::clamp(hz, low_hz, high_hz) / low_hz) / std::log(high_hz / low_hz);
        return left + share * (width - left - right);
    }
    double y(double dbfs) const {
        const double share = (high_dbfs - std::clamp(dbfs, low_dbfs, high_dbfs)) / (high_dbfs - low_dbfs);
        return top + share * spectrum_height;
    }
    bool holds(double hz) const { return hz >= low_hz && hz <= high_hz; }
};

Axis axis_for(const match::Findings& findings) {
    const tones::Tones& found = findings.unit.takes[0].found;
    Axis axis{std::max(20.0, found.usable.low_hz), found.usable.high_hz, 0.0, -200.0};
    for (const tones::FloorPoint& point : found.floor) {
        if (!(std::abs(point.noise_dbfs_per_hz) <= most_drawn_db)) continue;
        axis.low_dbfs = std::min(axis.low_dbfs, point.noise_dbfs_per_hz);
        axis.high_dbfs = std::max(axis.high_dbfs, point.noise_dbfs_per_hz);
    }
    for (const tones::UnitTone& tone : findings.unit.tones) {
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
            svg += svg_line(axis.x(hz), top, axis.x(hz), bottom, "grid");
            svg += svg_text(axis.x(hz), bottom + 20.0,
                            hz < 1000.0 ? base::trimmed(hz, 0) : base::trimmed(hz / 1e3, 0) + "k", "tick mid");
        }
    }
    const double step = axis.high_dbfs - axis.low_dbfs > 80.0 ? 20.0 : 10.0;
    for (const double db : base::multiples_between(axis.low_dbfs, axis.high_dbfs, step)) {
        svg += svg_line(left, axis.y(db), width - right, axis.y(db), "grid");
        svg += svg_text(left - 5.0, axis.y(db) + 4.0, base::trimmed(db, 0), "tick end");
    }
    return svg + svg_text(width - right, bottom + 45.0, "frequency in Hz", "tick end") +
           svg_text(4.0, 19.0, "dBFS", "tick");
}

std::string floor_line(const Axis& axis, const tones::Tones& found) {
    std::string points;
    for (const tones::FloorPoint& point : found.floor)
        if (axis.holds(point.hz))
            points += svg_number(axis.x(point.hz)) + "," + svg_number(axis.y(point.noise_dbfs_per_hz)) + " ";
    return points.empty() ? "" : "<polyline points=\"" + points + "\" class=\"floor\"/>\n";
}

// Labels of the strongest tones, left out where they would lie on one another.
std::string tones(const Axis& axis, const match::Findings& findings) {
    std::string svg;
    std::vector<const tones::UnitTone*> by_level;
    for (const tones::UnitTone& tone : findings.unit.tones) {
        if (!axis.holds(tone.tone.hz) || std::isnan(tone.tone.level_dbfs)) continue;
        const bool board = tone.tone.origin == tones::Origin::board;
        const double x = axis.x(tone.tone.hz), y = axis.y(tone.tone.level_dbfs);
        svg += svg_line(x, y, x, top + spectrum_height, board ? "tone" : "other");
        svg += board ? "<circle cx=\"" + svg_number(x) + "\" cy=\"" + svg_number(y) + "\" r=\"4\" class=\"head\"/>\n"
                     : "<rect x=\"" + svg_number(x - 3.0) + "\" y=\"" + svg_number(y - 3.0) +
                           "\" width=\"6\" height=\"6\" class=\"otherhead\"/>\n";
        if (board) by_level.push_back(&tone);
    }
    std::sort(by_level.begin(), by_level.end(), [](const tones::UnitTone* a, const tones::UnitTone* b) {
        return a->tone.level_dbfs > b->tone.level_dbfs;
    });
    std::vector<double> taken;
    for (const tones::UnitTone* tone : by_level) {
        const double x = axis.x(tone->tone.hz);
        if (std::any_of(taken.begin(), taken.end(), [&](double other) { return std::abs(other - x) < 34.0; })) continue;
        taken.push_back(x);
        svg += svg_text(x, axis.y(tone->tone.level_dbfs) - 8.0, std::to_string(tone->id), "mark mid");
    }
    return svg;
}

bool meets_a_tone(const match::Findings& findings, const board::Line& line_of_rate, const std::string& rate) {
    for (const auto& [id, explanations] : findings.explained_by)
        for (const match::Explanation& explanation : explanations)
            if (explanation.rate == rate && explanation.kind == line_of_rate.kind &&
                explanation.order == line_of_rate.order && explanation.probability >= 0.5)
                return true;
    return false;
}

std::string ladder(const Axis& axis, const match::Findings& findings, const board::BoardSheet& sheet,
                   const match::Suspect& suspect, double y) {
    const auto rate = std::find_if(sheet.rates.begin(), sheet.rates.end(),
                                   [&](const board::Rate& candidate) { return candidate.full_name == suspect.rate; });
    if (rate == sheet.rates.end()) return {};
    std::string svg = svg_line(left, y + ladder_height - 6.0, width - right, y + ladder_height - 6.0, "grid");
    svg += svg_text(left, y + 16.0, suspect.rate + "  " + probability_number(suspect.probability), "mark");
    board::LineLimits limits;
    limits.low_hz = axis.low_hz;
    limits.high_hz = axis.high_hz;
    std::string filled;
    for (const board::Line& rung : board::lines_of(sheet, static_cast<int>(rate - sheet.rates.begin()), limits)) {
        if (rung.kind != board::LineKind::harmonic) continue;
        const double x1 = axis.x(rung.low_hz), x2 = axis.x(rung.high_hz);
        const bool met = meets_a_tone(findings, rung, suspect.rate);
        (met ? filled : svg) += "<rect x=\"" + svg_number(x1 - 1.0) + "\" y=\"" + svg_number(y + 22.0) + "\" width=\"" +
                                svg_number(std::max(2.0, x2 - x1 + 2.0)) + "\" height=\"16\" class=\"" +
                                (met ? "met" : "rung") + "\"/>\n";
    }
    return svg + filled;
}

}  // namespace

std::string escaped_html(const std::string& text) {
    std::string safe;
    for (const char c : base::printable(text)) {
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

std::string picture_svg(const match::Findings& findings, const board::BoardSheet* sheet) {
    if (findings.unit.takes.empty()) return {};
    const tones::Tones& found = findings.unit.takes[0].found;
    if (!(found.usable.high_hz > std::max(20.0, found.usable.low_hz))) return {};
    if (found.usable.high_hz > highest_drawn_hz) return {};
    const Axis axis = axis_for(findings);
    const std::size_t ladders = sheet == nullptr ? 0 : std::min(findings.suspects.size(), most_ladders);
    const double bottom =
        top + spectrum_height + static_cast<double>(ladders) * ladder_height + (ladders > 0 ? 8.0 : 0.0);
    std::string svg = "<svg viewBox=\"0 0 " + svg_number(width) + " " + svg_number(bottom + axis_height) +
                      "\" role=\"img\" aria-labelledby=\"picture-title\">\n<title "
                      "id=\"picture-title\">Noise floor of the first "
                      "recording with the tones found" +
                      std::string(ladders > 0 ? ", and where the suspects' lines stand" : "") + "</title>\n";
    svg += grid(axis, bottom) + floor_line(axis, found) + tones(axis, findings);
    for (std::size_t i = 0; i < ladders; ++i)
        svg += ladder(axis, findings, *sheet, findings.suspects[i],
                      top + spectrum_height + 8.0 + static_cast<double>(i) * ladder_height);
    return svg + "</svg>\n";
}

}  // namespace tattletone::report
