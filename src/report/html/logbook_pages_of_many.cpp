#include <algorithm>
#include <iterator>

#include "base/text/number.h"
#include "logbook/units/comparison.h"
#include "logbook/units/recurrence.h"
#include "report/html/line_pictures.h"
#include "report/html/logbook_pages.h"
#include "report/html/page_parts.h"
#include "report/html/page_words.h"

namespace tattletone::report {
namespace {

constexpr std::size_t most_bars = 20;

std::string name_of(const logbook::RecurringTone& tone) {
    if (tone.rate.empty()) return "undeclared, " + base::short_hz(tone.hz);
    return tone.rate + ", " + base::short_hz(tone.hz);
}

std::string words_of(logbook::Recurs recurs) {
    return recurs == logbook::Recurs::in_design     ? "design: nearly all units"
           : recurs == logbook::Recurs::in_assembly ? "assembly or single parts: a few units"
                                                    : "either";
}

std::string serials_of(const logbook::BatchView& view, const std::vector<std::size_t>& units) {
    std::string text;
    for (const std::size_t unit : units) text += (text.empty() ? "" : ", ") + view.units[unit].serial;
    return text;
}

std::string batch_answer(const logbook::BatchView& view) {
    if (view.measured == 0) return "No unit of this batch was measured yet.";
    if (view.tones.empty())
        return "No tone of the board was heard in " + base::count_of(view.measured, "unit", "units") + ".";
    const logbook::RecurringTone& first = view.tones[0];
    std::string answer = (first.rate.empty() ? "An undeclared tone" : first.rate) + " at " + base::short_hz(first.hz) +
                         " is heard in " + std::to_string(first.units.size()) + " of " +
                         base::count_of(view.measured, "unit", "units");
    if (first.recurs == logbook::Recurs::in_design) return answer + ": that points to the design.";
    if (first.recurs == logbook::Recurs::in_assembly) return answer + ": that points to assembly or single parts.";
    return answer + ".";
}

std::string side_name(const logbook::Group& side) {
    return (side.key == "label" ? "" : side.key + " ") + side.value;
}

std::vector<report::LevelMark> marks_of(const std::vector<logbook::GroupValue>& values) {
    std::vector<report::LevelMark> marks;
    for (const logbook::GroupValue& value : values)
        marks.push_back({value.serial, value.whined, value.known, value.level_dbfs});
    return marks;
}

}  // namespace

Result<std::string> batch_page(logbook::Logbook& logbook, const std::string& batch) {
    logbook::UnitFilter filter;
    filter.batch = batch;
    const auto view = logbook::view_batch(logbook, filter);
    if (!view) return view.error();
    if (view->units.empty())
        return Error{"batch '" + batch + "'", "the logbook has no unit in use of this batch",
                     "'tattletone unit list' shows the batches"};
    std::vector<report::ShareBar> bars;
    PageTable tones{{"Tone", "Line", "Hz", "Units", "95 % interval", "Mean level, dBFS", "sd, dB", "Points to",
                     "Units that stand out"},
                    {},
                    {false, false, true, true, true, true, true, false, false}};
    for (const logbook::RecurringTone& tone : view->tones) {
        const double share = static_cast<double>(tone.units.size()) / std::max(1, view->measured);
        if (bars.size() < most_bars) bars.push_back({name_of(tone), share, tone.share.low, tone.share.high});
        tones.rows.push_back(
            {tone.rate.empty() ? "undeclared" : tone.rate,
             tone.rate.empty() ? "" : tone.kind + " " + std::to_string(tone.line), base::fixed(tone.hz, 1),
             std::to_string(tone.units.size()) + " of " + std::to_string(view->measured),
             base::fixed(100.0 * tone.share.low, 0) + " to " + base::fixed(100.0 * tone.share.high, 0) + " %",
             base::fixed(logbook::mean_of(tone.levels_dbfs), 1),
             tone.units.size() > 1 ? base::fixed(tone.level_sd_db, 1) : "", words_of(tone.recurs),
             serials_of(*view, tone.stand_out)});
    }
    PageTable units{{"Unit", "Firmware", "Measurements", "Newest answer"}, {}, {false, false, true, false}};
    for (const logbook::Unit& unit : view->units)
        units.rows.push_back({unit.serial, unit.firmware, std::to_string(unit.measurements), unit.answer});
    std::string body = report::html_tag("p", base::count_of(std::ssize(view->units), "unit", "units") + " in use, " +
                                                 std::to_string(view->measured) +
                                                 " of them measured. Each counts by its newest measurement.");
    body += html_figure("In how many units",
                        report::shares_svg("Share of the measured units in which each tone is heard, with its 95 % "
                                           "interval",
                                           bars),
                        std::string("Bars: share of the measured units. Lines with ends: Wilson's 95 % interval.") +
                            (view->tones.size() > most_bars ? " The table has the rarer ones too." : ""));
    if (!tones.rows.empty()) body += report::html_tag("h2", "Tones") + html_table(tones);
    body += report::html_tag("h2", "Units") + html_table(units);
    body +=
        page_limits({"Design or assembly is a lead: nearly all units share what the design does, and a few "
                     "units share what a hand or a part did. 'Either' means that too few were measured to "
                     "tell.",
                     "Levels compare only as far as microphone and distance were the same."});
    return report::page_of(base::OutputKind::batch_page, "Batch " + batch, batch_answer(*view),
                           body + report::page_cautions());
}

Result<std::string> comparison_page(logbook::Logbook& logbook, const std::string& a, const std::string& b,
                                    const std::string& rate, double hz) {
    const auto side_a = logbook::find_side(logbook, a);
    if (!side_a) return side_a.error();
    const auto side_b = logbook::find_side(logbook, b);
    if (!side_b) return side_b.error();
    const auto comparison = logbook::compare_sides(logbook, *side_a, *side_b, rate, hz);
    if (!comparison) return comparison.error();
    const logbook::Comparison& c = *comparison;
    auto sentences = logbook::comparison_sentences(c);
    const std::string answer = sentences.front();
    sentences.erase(sentences.begin());
    PageTable table{
        {"Side", "Unit", "Whined", "dBFS", "Microphone", "cm"}, {}, {false, false, false, true, false, true}};
    for (const auto* side : {&c.in_a, &c.in_b})
        for (const logbook::GroupValue& value : *side)
            table.rows.push_back({side_name(side == &c.in_a ? c.a : c.b), value.serial,
                                  !value.known   ? "cannot tell"
                                  : value.whined ? "yes"
                                                 : "no, below",
                                  value.known ? base::fixed(value.level_dbfs, 1) : "", value.microphone,
                                  value.distance_cm ? base::trimmed(*value.distance_cm, 1) : ""});
    const std::string what = c.rate.empty() ? "the tone at " + base::short_hz(c.hz) : c.rate;
    std::string body = html_list(sentences);
    body += html_figure(
        "Levels",
        report::sides_svg("Level of " + what + " in " + side_name(c.a) + " and in " + side_name(c.b) + ", unit by unit",
                          side_name(c.a), side_name(c.b), marks_of(c.in_a), marks_of(c.in_b), c.paired),
        std::string("Dots: heard. Open triangles: not heard, and the level below which it must have "
                    "been.") +
            (c.paired ? " Lines join the two measurements of one unit." : ""));
    body += report::html_tag("h2", "Units") + html_table(table);
    body +=
        page_limits({"A difference that chance would hardly make is still no cause: something else may "
                     "differ between the two sides.",
                     "Levels compare only as far as microphone and distance were the same."});
    return report::page_of(base::OutputKind::comparison_page, side_name(c.a) + " against " + side_name(c.b), answer,
                           body + report::page_cautions());
}

}  // namespace tattletone::report
