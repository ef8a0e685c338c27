#include <algorithm>
#include <cmath>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "report/html/page_parts.h"
#include "report/html/page_picture.h"
#include "report/html/svg.h"
#include "report/trace_report.h"
#include "report/trace_words.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr double width = 900.0, left = 64.0, right = 12.0, height = 170.0, gap = 64.0, top = 24.0;
constexpr const char* own_style =
    "<style>text{font:12px "
    "sans-serif;fill:#555}.grid{stroke:#ddd}.floor{fill:none;stroke:#26547c;stroke-width:1}"
    ".whisker{stroke:#b3261e;stroke-width:1.5;stroke-dasharray:6 "
    "4}.end{text-anchor:end}.mid{text-anchor:middle}"
    ".mark{font-weight:bold;fill:#1b1b1b}</style><rect width=\"100%\" height=\"100%\" "
    "fill=\"#fff\"/>";

std::string level_line(double y, const char* style) {
    return svg_line(left, y, width - right, y, style);
}

double nice_step(double span, int parts) {
    const double raw = span / parts, power = std::pow(10.0, std::floor(std::log10(raw)));
    for (const double step : {1.0, 2.0, 5.0})
        if (raw <= step * power) return step * power;
    return 10.0 * power;
}

struct Panel {
    const std::vector<float>& values;
    std::size_t from, to;
    double increment, low, high, y0;

    double x(double seconds) const {
        const double span = increment * static_cast<double>(to - from);
        return left + (width - left - right) * (seconds - increment * static_cast<double>(from)) / span;
    }
    double y(double value) const { return y0 + height * (high - value) / (high - low); }

    // The lowest and the highest sample under each pixel, so that a short dip stays visible.
    std::string curve() const {
        const auto pixels = static_cast<std::size_t>(width - left - right);
        const std::size_t count = to - from;
        std::string points;
        const auto add = [&](std::size_t i) {
            points += base::trimmed(x(increment * static_cast<double>(i)), 1) + "," +
                      base::trimmed(y(static_cast<double>(values[i])), 1) + " ";
        };
        if (count <= 2 * pixels) {
            for (std::size_t i = from; i < to; ++i) add(i);
        } else {
            for (std::size_t p = 0; p < pixels; ++p) {
                const auto begin = values.begin() + static_cast<std::ptrdiff_t>(from + count * p / pixels);
                const auto end = values.begin() + static_cast<std::ptrdiff_t>(from + count * (p + 1) / pixels);
                const auto [low_at, high_at] = std::minmax_element(begin, end);
                const auto first = static_cast<std::size_t>(std::min(low_at, high_at) - values.begin());
                const auto second = static_cast<std::size_t>(std::max(low_at, high_at) - values.begin());
                add(first);
                if (second != first) add(second);
            }
        }
        return "<polyline points=\"" + points + "\" class=\"floor\"/>\n";
    }

    std::string draw(const std::string& title, const TraceColumnReport& column) const {
        const std::string& unit = column.unit;
        const double level = column.shape.level;
        std::string svg = svg_text(left, y0 - 8.0, title, "mark");
        const double step = nice_step(high - low, 5);
        for (const double v : base::multiples_between(low, high, step))
            svg += level_line(y(v), "grid") +
                   svg_text(left - 6.0, y(v) + 4.0, base::trimmed(v, 4) + " " + unit, "tick end");
        const double start = increment * static_cast<double>(from), span = increment * static_cast<double>(to - from);
        const double time_step = nice_step(span, 6);
        for (double t = 0.0; t <= span * 0.97; t += time_step)
            svg += svg_text(x(start + t), y0 + height + 16.0, short_seconds(t), "tick mid");
        if (level > low && level < high)
            svg += level_line(y(level), "whisker") +
                   svg_text(width - right, y0 - 8.0, "line across: " + in_unit(level, unit, column.shape.noise_sd),
                            "tick end");
        return svg + curve();
    }
};

std::string list_of(const std::vector<std::string>& lines) {
    std::string html = "<ul>\n";
    for (const std::string& line : lines) html += html_tag("li", line);
    return html + "</ul>\n";
}

std::string picture_of(const TraceReport& report, std::size_t column) {
    return column < report.pictures.size() ? "<div class=\"scroll\">" + report.pictures[column] + "</div>\n" : "";
}

std::vector<std::string> file_sentences(const TraceReport& report) {
    std::vector<std::string> lines{report.origin + ": " + std::to_string(report.rows) + " rows, " +
                                   short_seconds(report.increment_seconds) + " apart, " +
                                   short_seconds(report.seconds) + " in all"};
    lines.insert(lines.end(), report.notices.begin(), report.notices.end());
    return lines;
}

}  // namespace

std::string trace_svg(const std::vector<float>& values, double increment, const TraceColumnReport& column, bool alone) {
    if (values.size() < 2) return {};
    const scope::TraceShape& shape = column.shape;
    const double margin = std::max(0.06 * (shape.maximum - shape.minimum), 1e-6);
    const double low = std::min(shape.minimum, shape.level) - margin,
                 high = std::max(shape.maximum, shape.level) + margin;
    // A level far from the curve would flatten it; it is then told in words only.
    const bool far = high - low > 4.0 * (shape.maximum - shape.minimum + margin);
    const double lowest = far ? shape.minimum - margin : low, highest = far ? shape.maximum + margin : high;
    std::size_t few = values.size();
    if (shape.repetition) few = std::min(few, static_cast<std::size_t>(8.0 / (shape.repetition->hz * increment)) + 2);
    const bool zoom = few < values.size() / 2;
    const double total = top + height + 28.0 + (zoom ? gap + height : 0.0);
    std::string title = "The trace '" + column.name + "' over " +
                        short_seconds(increment * static_cast<double>(values.size())) + ": between " +
                        in_unit(shape.minimum, column.unit, shape.noise_sd) + " and " +
                        in_unit(shape.maximum, column.unit, shape.noise_sd);
    if (shape.repetition) title += ", repeating at " + base::short_hz(shape.repetition->hz);
    title += "; the line across is " + in_unit(shape.level, column.unit, shape.noise_sd) + ".";
    std::string svg = (alone ? base::svg_mark(base::OutputKind::trace_picture) : "") + "<svg " +
                      std::string(alone ? "xmlns=\"http://www.w3.org/2000/svg\" " : "") + "viewBox=\"0 0 " +
                      base::trimmed(width, 1) + " " + base::trimmed(total, 1) + "\" role=\"img\">\n<title>" +
                      escaped_html(title) + "</title>\n";
    if (alone) svg += own_style;
    const Panel whole{values, 0, values.size(), increment, lowest, highest, top};
    svg += whole.draw("All of '" + column.name + "'", column);
    if (zoom) {
        const Panel part{values, 0, few, increment, lowest, highest, top + height + gap};
        svg += part.draw("Its first eight periods", column);
    }
    return svg + "</svg>\n";
}

std::string trace_page(const TraceReport& report) {
    std::string body;
    for (std::size_t i = 0; i < report.columns.size(); ++i) {
        const TraceColumnReport& column = report.columns[i];
        body += html_tag("h2", "Column '" + column.name + "'" + (column.rail.empty() ? "" : ", rail " + column.rail));
        body += picture_of(report, i) + list_of(column_sentences(column, report));
        std::vector<std::string> causes;
        for (const match::TraceCause& cause : column.causes)
            causes.push_back(cause_sentence(cause, rate_sd_hz(column, report.clock_ppm)));
        if (!causes.empty()) body += html_tag("p", "Which declared rate it shows:") + list_of(causes);
    }
    body += html_tag("h2", "Trace") + list_of(file_sentences(report)) + html_tag("h2", "What to try next") +
            list_of(trace_advice(report)) + page_cautions();
    return page_of(base::OutputKind::trace_page, report.board.empty() ? "A trace" : "A trace of " + report.board,
                   trace_answer(report), body);
}

std::string page_trace(const match::Findings& findings, const match::TraceJoin& join, const TraceReport& report) {
    std::string html = html_tag("h2", "The trace");
    html += list_of(join_sentences(findings, join));
    for (std::size_t i = 0; i < report.columns.size(); ++i) {
        const TraceColumnReport& column = report.columns[i];
        html += html_tag("h3", "What the oscilloscope saw on '" + column.name + "'" +
                                   (column.rail.empty() ? "" : ", rail " + column.rail)) +
                picture_of(report, i) + list_of(column_sentences(column, report));
    }
    return html + list_of(file_sentences(report));
}

std::string trace_json(const TraceReport& report) {
    base::JsonWriter w;
    w.open('{');
    w.key("format").text("tattletone trace 1");
    w.key("trace").text(report.origin);
    w.key("board").text_or_null(report.board);
    w.key("rows").integer(static_cast<long long>(report.rows));
    w.key("increment_seconds").real(report.increment_seconds, 15);
    w.key("seconds").real(report.seconds, 9);
    w.key("clock_ppm").whole_or_real(report.clock_ppm, 3);
    w.key("notices").texts(report.notices);
    w.key("columns").open('[');
    for (const TraceColumnReport& column : report.columns) {
        const scope::TraceShape& s = column.shape;
        w.open('{');
        w.key("name").text(column.name);
        w.key("unit").text(column.unit);
        w.key("rail").text_or_null(column.rail);
        w.key("warning").text_or_null(column.warning);
        w.key("minimum").real(s.minimum, 6);
        w.key("maximum").real(s.maximum, 6);
        w.key("mean").real(s.mean, 6);
        w.key("ripple").real(s.ripple, 6);
        w.key("noise_sd");
        if (report.rows < scope::fewest_for_noise)
            w.null();
        else
            w.real(s.noise_sd, 6);
        w.key("level").real(s.level, 6);
        w.key("below_share").real(s.below_share, 6);
        w.key("below_seconds").real(s.below_seconds, 9);
        w.key("longest_below_seconds").real(s.longest_below_seconds, 9);
        w.key("times_below").integer(static_cast<long long>(s.times_below));
        w.key("events").integer(static_cast<long long>(s.events.size()));
        w.key("events_are").text(s.dips_down ? "dips" : "pulses");
        w.key("event_level").real(s.event_level, 6);
        w.key("duty").real(s.duty, 6);
        w.key("repetition");
        if (s.repetition) {
            w.open('{');
            w.key("hz").real(s.repetition->hz, 6);
            w.key("hz_sd").real(s.repetition->hz_sd, 6);
            w.key("jitter_seconds").real(s.repetition->jitter_seconds, 12);
            w.key("skipped").integer(static_cast<long long>(s.repetition->skipped));
            w.key("wanders").boolean(s.repetition->wanders);
            w.close('}');
        } else {
            w.null();
        }
        w.key("coarse_hz");
        if (s.coarse_hz > 0.0)
            w.real(s.coarse_hz, 6);
        else
            w.null();
        w.key("folded_from").text_or_null(column.folded_from);
        w.key("ac_coupled").boolean(column.ac_coupled);
        w.key("shows").open('[');
        for (const match::TraceCause& cause : column.causes) {
            w.open('{');
            w.key("rate").text(cause.rate);
            w.key("probability").real(cause.probability, 4);
            w.key("multiple").whole_or_real(cause.multiple, 1);
            w.key("expected_hz").real(cause.expected_hz, 6);
            w.key("offset_hz").real(cause.offset_hz, 6);
            w.key("on_rail").boolean(cause.on_rail);
            w.close('}');
        }
        w.close(']');
        w.close('}');
    }
    w.close(']');
    w.close('}');
    return w.str();
}

}  // namespace tattletone::report
