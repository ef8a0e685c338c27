#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"
#include "report/trace_report.h"
#include "report/trace_words.h"
#include "report/words.h"

namespace tattletone::report {

std::string short_seconds(double seconds) {
    if (seconds == 0.0) return "0 s";
    for (const auto& [scale, unit] : {std::pair{1.0, " s"}, {1e-3, " ms"}, {1e-6, " µs"}})
        if (std::abs(seconds) >= 0.9995 * scale) return base::significant(seconds / scale, 3) + unit;
    return base::significant(seconds / 1e-9, 3) + " ns";
}

std::string in_unit(double value, const std::string& unit, double resolution) {
    return base::fixed(value, std::clamp(resolution > 0.0 ? base::decimals_for(resolution) : 4, 0, 5)) + " " + unit;
}

namespace {

std::string event_word(const scope::TraceShape& shape, bool several) {
    return std::string(shape.dips_down ? "dip" : "pulse") + (several ? "s" : "");
}

double resolution_of(const scope::TraceShape& shape) {
    return std::max(shape.noise_sd, 0.002 * std::max(shape.maximum - shape.minimum, 1e-4));
}

}  // namespace

namespace {

// A large grid is within 0.1 % of its nominal frequency most of the time (common practice; EN 50160 allows 1 %).
constexpr double grid_share = 0.001;
// The mains itself, after full-wave rectification, and of three phases.
constexpr double samples_a_period = 20.0;
constexpr int multiples_of_mains[] = {1, 2, 3, 6};

std::string coarse_words(const TraceColumnReport& column, const TraceReport& report) {
    const std::string seen = base::short_hz(column.shape.coarse_hz), row = short_seconds(report.increment_seconds);
    if (!column.folded_from.empty())
        return "it looks like " + seen + ", but with a row each " + row + " so does " + column.folded_from + " at " +
               base::short_hz(column.folded_hz) + ", which has fewer than two samples a period";
    return "it looks like " + seen + ", but a row each " + row +
           " is too coarse, for a faster rate with fewer than two samples a period looks the same";
}

std::string mains_words(const TraceColumnReport& column, double clock_ppm) {
    const double hz = column.shape.repetition->hz;
    for (const double mains : {50.0, 60.0})
        for (const int multiple : multiples_of_mains) {
            const double there = multiple * mains;
            if (std::abs(hz - there) > grid_share * there + 3.0 * rate_sd_hz(column, clock_ppm)) continue;
            if (rate_sd_hz(column, clock_ppm) > 0.01 * there) continue;
            const std::string times = multiple == 1   ? "the mains'"
                                      : multiple == 2 ? "twice the mains'"
                                                      : std::to_string(multiple) + " times the mains'";
            return times + " " + base::fixed(mains, 0) + " Hz, a rectifier's ripple or hum in the probe's ground";
        }
    return {};
}

}  // namespace

double rate_sd_hz(const TraceColumnReport& column, double clock_ppm) {
    const scope::Repetition& r = *column.shape.repetition;
    return std::hypot(r.hz_sd, r.hz * clock_ppm * 1e-6);
}

std::string rate_words(const TraceColumnReport& column, double clock_ppm) {
    return base::with_uncertainty(column.shape.repetition->hz, rate_sd_hz(column, clock_ppm)) + " Hz";
}

std::string trace_answer(const TraceReport& report) {
    std::string text;
    for (const TraceColumnReport& column : report.columns) {
        const std::string where = column.rail.empty() ? "'" + column.name + "'" : "Rail " + column.rail;
        text += (text.empty() ? "" : " ") + where;
        if (column.shape.coarse_hz > 0.0) {
            text += " shows no rate that can be told: " + coarse_words(column, report) + ".";
            continue;
        }
        if (!column.shape.repetition) {
            text += " shows no rate: nothing in it repeats evenly at least three times.";
            continue;
        }
        text +=
            std::string(column.shape.dips_down ? " dips" : " pulses") + " at " + rate_words(column, report.clock_ppm);
        const std::string mains = mains_words(column, report.clock_ppm);
        if (!mains.empty() && (column.causes.empty() || column.causes[0].probability < 0.5)) {
            text += ": " + mains + ".";
        } else if (report.board.empty()) {
            text += ".";
        } else if (column.causes.empty() || column.causes[0].probability < 0.5) {
            text += "; no declared rate is likely to be behind it.";
        } else {
            const match::TraceCause& cause = column.causes[0];
            text += std::string(cause.multiple == 1.0  ? ": "
                                : cause.multiple > 1.0 ? ", twice the rate of "
                                                       : ", half the rate of ") +
                    cause.rate + ", " + cause.part_name + ", " + probability_word(cause.probability) + " (" +
                    probability_number(cause.probability) + ").";
            if (!mains.empty())
                text += " But it is as well " + mains + "; run the board from a battery and measure again.";
        }
    }
    return text;
}

std::vector<std::string> column_sentences(const TraceColumnReport& column, const TraceReport& report) {
    const scope::TraceShape& s = column.shape;
    const double step = resolution_of(s);
    std::vector<std::string> lines;
    if (!column.warning.empty()) lines.push_back(column.warning);
    if (column.ac_coupled)
        lines.push_back(
            "about 0 V in the mean: coupled AC, or the rail was off; how far it is from its voltage cannot "
            "be told");
    if (s.repetition) {
        const scope::Repetition& r = *s.repetition;
        std::string text =
            std::to_string(s.events.size()) + " " + event_word(s, s.events.size() != 1) + " at " +
            rate_words(column, report.clock_ppm) + " (" +
            (1e6 * r.hz_sd / r.hz < 0.01 ? "under 0.01" : base::significant(1e6 * r.hz_sd / r.hz, 2)) +
            " ppm from the trace, " + base::trimmed(report.clock_ppm, 1) + " ppm for the scope's clock); " +
            (r.jitter_seconds > 0.0 ? "off an even train by " + short_seconds(r.jitter_seconds) + " (root mean square)"
                                    : "even to the sample");
        if (r.skipped > 0) text += "; " + std::to_string(r.skipped) + " left out";
        lines.push_back(text);
        if (r.wanders) lines.push_back("the rate wanders: what is given is its mean over the trace");
    } else if (s.coarse_hz > 0.0) {
        lines.push_back("no rate: " + coarse_words(column, report));
    } else if (!s.events.empty()) {
        lines.push_back(std::to_string(s.events.size()) + " " + event_word(s, s.events.size() != 1) +
                        (s.events.size() < 3 ? ": three or more are needed for a rate; record longer"
                                             : ", but not evenly spaced: no rate"));
    }
    const bool few = report.rows < scope::fewest_for_noise;
    lines.push_back("minimum " + in_unit(s.minimum, column.unit, step) + ", maximum " +
                    in_unit(s.maximum, column.unit, step) + ", mean " + in_unit(s.mean, column.unit, step) +
                    ", ripple " + in_unit(s.ripple, column.unit, step) + " peak to peak; " +
                    (few ? "too few rows to tell its noise"
                         : "one sample's noise " + base::significant(1e3 * s.noise_sd, 2) + " m" + column.unit));
    const std::string level = "below " + in_unit(s.level, column.unit, step) + " (" + column.level_from + ")";
    if (s.times_below == 0)
        lines.push_back("never " + level);
    else
        lines.push_back(level + " for " + base::significant(100.0 * s.below_share, 3) + " % of the time, " +
                        std::to_string(s.times_below) + (s.times_below == 1 ? " time" : " times") + ", at most " +
                        short_seconds(s.longest_below_seconds) + " at once");
    if (!s.events.empty())
        lines.push_back("duty " + base::significant(100.0 * s.duty, 3) + " % (share of the time in the " +
                        event_word(s, true) + ", at half their depth, " + in_unit(s.event_level, column.unit, step) +
                        ")");
    return lines;
}

std::string cause_sentence(const match::TraceCause& cause, double sd_hz) {
    std::string text = cause.rate + ", " + cause.part_name + ": " + probability_word(cause.probability) + ", " +
                       probability_number(cause.probability) + "; ";
    if (cause.multiple != 1.0) text += std::string(cause.multiple > 1.0 ? "twice" : "half") + " the rate, ";
    text += cause.offset_hz == 0.0 ? "inside its declared range"
                                   : base::with_uncertainty(cause.offset_hz, sd_hz) + " Hz (" +
                                         base::with_uncertainty(1e6 * cause.offset_hz / cause.expected_hz,
                                                                1e6 * sd_hz / cause.expected_hz) +
                                         " ppm) from " + base::short_hz(cause.expected_hz);
    return text + (cause.on_rail ? "; its part hangs on this rail" : "");
}

std::vector<std::string> trace_advice(const TraceReport& report) {
    std::vector<std::string> lines;
    const auto with_rate = std::find_if(report.columns.begin(), report.columns.end(),
                                        [](const auto& c) { return c.shape.repetition.has_value(); });
    const auto coarse = std::find_if(report.columns.begin(), report.columns.end(),
                                     [](const auto& c) { return c.shape.coarse_hz > 0.0; });
    if (with_rate == report.columns.end() && coarse != report.columns.end()) {
        const double hz = samples_a_period * (coarse->folded_hz > 0.0 ? coarse->folded_hz : coarse->shape.coarse_hz);
        const double faster = samples_a_period / report.increment_seconds;
        lines.push_back("Sample at " + base::short_hz(coarse->folded_hz > 0.0 ? hz : std::max(hz, faster)) +
                        " or more, " + base::fixed(samples_a_period, 0) +
                        " samples a period and some 5 in each dip: a rate that is there stays where it is.");
        return lines;
    }
    if (with_rate == report.columns.end()) {
        lines.push_back(
            "Record 50 periods or more with some 20 samples in each dip; couple the scope AC and "
            "zoom in on the ripple.");
        return lines;
    }
    const scope::Repetition& r = *with_rate->shape.repetition;
    if (r.hz_sd / r.hz > 3e-4)
        lines.push_back("The rate is known to " + base::significant(100.0 * r.hz_sd / r.hz, 2) +
                        " % only: a trace ten times as long tells rates apart some 30 times better.");
    if (report.board.empty()) lines.push_back("With --board SHEET the rate is compared with the declared ones.");
    lines.push_back("Whether this is what you hear: 'tattletone examine take.flac " +
                    std::string(report.board.empty() ? "" : "--board SHEET ") + "--trace " +
                    (report.origin == "standard input" ? "FILE.csv" : report.origin) + "'.");
    return lines;
}

std::string trace_text(const TraceReport& report, int columns, bool bold) {
    columns = std::max(columns, 40);
    std::string text = wrapped(base::printable(trace_answer(report)), columns);
    for (const TraceColumnReport& column : report.columns) {
        text += heading("Column '" + base::printable(column.name) + "'" +
                            (column.rail.empty() ? "" : ", rail " + base::printable(column.rail)),
                        columns, bold);
        for (const std::string& line : column_sentences(column, report)) text += wrapped(line, columns, "  ", "    ");
        if (report.board.empty() || !column.shape.repetition) continue;
        for (const match::TraceCause& cause : column.causes)
            text += wrapped(base::printable(cause_sentence(cause, rate_sd_hz(column, report.clock_ppm))), columns,
                            "  - ", "    ");
        double declared = 0.0;
        for (const match::TraceCause& cause : column.causes) declared += cause.probability;
        text += wrapped("none of the declared rates: " + probability_number(std::max(0.0, 1.0 - declared)), columns,
                        "  - ", "    ");
    }
    text += heading("Trace", columns, bold);
    text +=
        wrapped(base::printable(report.origin) + ": " + std::to_string(report.rows) + " rows, " +
                    short_seconds(report.increment_seconds) + " apart, " + short_seconds(report.seconds) + " in all",
                columns, "  ", "    ");
    for (const std::string& notice : report.notices) text += wrapped(base::printable(notice), columns, "  ! ", "    ");
    text += heading("What to try next", columns, bold);
    for (const std::string& line : trace_advice(report)) text += wrapped(base::printable(line), columns, "  ", "  ");
    return text;
}

}  // namespace tattletone::report
