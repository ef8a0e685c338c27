#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/html/page_parts.h"
#include "report/html/page_picture.h"
#include "report/html/svg.h"
#include "report/toggle_report.h"

namespace tattletone::report {
namespace {

constexpr double picture_width = 900.0, from_left = 96.0, to_right = 12.0, panel_height = 110.0, bar_height = 14.0,
                 bar_gap = 8.0, panel_gap = 34.0;

double x_of(const toggle::Trial& trial, double seconds) {
    return from_left + (picture_width - from_left - to_right) * seconds / std::max(trial.seconds, 1e-9);
}

// The level in each step, and below it when the part was on.
std::string panel(const toggle::Trial& trial, std::size_t part, const toggle::PictureLine& drawn, double top) {
    const auto [low_at, high_at] = std::minmax_element(drawn.level_dbfs.begin(), drawn.level_dbfs.end());
    const double low = std::floor(*low_at / 5.0) * 5.0, high = std::max(low + 5.0, std::ceil(*high_at / 5.0) * 5.0);
    const auto y_of = [&](double level) { return top + panel_height * (high - level) / (high - low); };
    const toggle::WatchedLine& line = trial.lines[drawn.line];
    std::string svg = svg_text(from_left, top - 6.0,
                               "Level at " + base::fixed(line.hz, line.half_width_hz > 0.0 ? 0 : 1) + " Hz while " +
                                   trial.plan.parts[part] + " was switched",
                               "mark");
    for (const double level : {low, high})
        svg += svg_line(from_left, y_of(level), picture_width - to_right, y_of(level), "grid") +
               svg_text(from_left - 6.0, y_of(level) + 4.0, base::trimmed(level, 0) + " dBFS", "tick end");
    std::string points;
    for (std::size_t i = 0; i < trial.windows.size(); ++i)
        for (const double at : {trial.windows[i].from, trial.windows[i].to})
            points += base::trimmed(x_of(trial, at), 1) + "," + base::trimmed(y_of(drawn.level_dbfs[i]), 1) + " ";
    return svg + "<polyline points=\"" + points + "\" class=\"floor\"/>\n";
}

std::string bars(const toggle::Trial& trial, std::size_t part, double top) {
    std::string svg = svg_text(from_left - 6.0, top + bar_height - 3.0, trial.plan.parts[part], "tick end");
    for (const toggle::StepWindow& window : trial.windows) {
        const bool on = trial.plan.columns[part][window.step] != 0;
        const double from = x_of(trial, window.from), to = x_of(trial, window.to);
        svg += "<rect x=\"" + svg_number(from) + "\" y=\"" + svg_number(on ? top : top + bar_height - 2.0) +
               "\" width=\"" + svg_number(to - from) + "\" height=\"" + svg_number(on ? bar_height : 2.0) +
               "\" fill=\"#26547c\"/>\n";
    }
    return svg;
}

std::string trial_svg(const toggle::Trial& trial) {
    if (trial.picture.empty()) return {};
    std::string svg;
    double top = 24.0;
    std::size_t next = 0;
    for (std::size_t part = 0; part < trial.parts.size(); ++part) {
        if (trial.parts[part].drives == true && !trial.parts[part].effects.empty() && next < trial.picture.size()) {
            svg += panel(trial, part, trial.picture[next++], top);
            top += panel_height + bar_gap;
        }
        svg += bars(trial, part, top);
        top +=
            bar_height + (part + 1 < trial.parts.size() && trial.parts[part + 1].drives == true ? panel_gap : bar_gap);
    }
    top += 8.0;
    for (const double seconds : base::multiples_between(0.0, trial.seconds, 10.0))
        svg += svg_text(x_of(trial, seconds), top + 4.0, base::trimmed(seconds, 0) + " s", "tick mid");
    return "<svg viewBox=\"0 0 " + base::trimmed(picture_width, 0) + " " + base::trimmed(top + 12.0, 0) +
           "\" role=\"img\">\n<title>" +
           escaped_html("Levels over time above the toggle plan: a thick bar where the part was on.") + "</title>\n" +
           svg + "</svg>\n";
}

}  // namespace

std::string page_trial(const match::Findings& findings, const match::TrialJoin& join) {
    std::string html = html_tag("h2", "The toggle plan");
    if (const std::string svg = trial_svg(join.trial); !svg.empty())
        html +=
            "<div class=\"scroll\">" + svg + "</div>\n" +
            html_tag("p", "Thick: the part was on; thin: it was off. What follows the drawn order is caused by it.");
    html += "<ul>\n";
    for (const std::string& sentence : trial_sentences(findings, join)) html += html_tag("li", sentence);
    return html + "</ul>\n";
}

}  // namespace tattletone::report
