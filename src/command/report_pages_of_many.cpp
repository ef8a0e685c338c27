#include <algorithm>
#include <iterator>

#include "command/report_page_words.h"
#include "command/report_pages.h"
#include "logbook/comparison.h"
#include "logbook/recurrence.h"
#include "report/line_pictures.h"
#include "report/number.h"
#include "report/page_parts.h"

namespace tattletone {
namespace {

constexpr std::size_t most_bars = 20;

std::string name_of(const RecurringTone& tone) {
    if (tone.rate.empty()) return "undeclared, " + short_hz(tone.hz);
    return tone.rate + ", " + short_hz(tone.hz);
}

std::string words_of(Recurs recurs) {
    return recurs == Recurs::in_design     ? "design: nearly all units"
           : recurs == Recurs::in_assembly ? "assembly or single parts: a few units"
                                           : "either";
}

std::string serials_of(const BatchView& view, const std::vector<std::size_t>& units) {
    std::string text;
    for (const std::size_t unit : units) text += (text.empty() ? "" : ", ") + view.units[unit].serial;
    return text;
}

std::string batch_answer(const BatchView& view) {
    if (view.measured == 0) return "No unit of this batch was measured yet.";
    if (view.tones.empty())
        return "No tone of the board was heard in " + count_of(view.measured, "unit", "units") + ".";
    const RecurringTone& first = view.tones[0];
    std::string answer = (first.rate.empty() ? "An undeclared tone" : first.rate) + " at " +
                         short_hz(first.hz) + " is heard in " + std::to_string(first.units.size()) + " of " +
                         count_of(view.measured, "unit", "units");
    if (first.recurs == Recurs::in_design) return answer + ": that points to the design.";
    if (first.recurs == Recurs::in_assembly)
        return answer + ": that points to assembly or single parts.";
    return answer + ".";
}

std::string side_name(const Side& side) {
    return (side.key == "label" ? "" : side.key + " ") + side.value;
}

std::vector<LevelMark> marks_of(const std::vector<SideValue>& values) {
    std::vector<LevelMark> marks;
    for (const SideValue& value : values)
        marks.push_back({value.serial, value.whined, value.known, value.level_dbfs});
    return marks;
}

}  // namespace

Result<std::string> batch_page(Logbook& logbook, const std::string& batch) {
    UnitFilter filter;
    filter.batch = batch;
    const auto view = view_batch(logbook, filter);
    if (!view) return view.error();
    if (view->units.empty())
        return Error{"batch '" + batch + "'", "the logbook has no unit in use of this batch",
                     "'tattletone unit list' shows the batches"};
    std::vector<ShareBar> bars;
    PageTable tones{{"Tone", "Line", "Hz", "Units", "95 % interval", "Mean level, dBFS", "sd, dB", "Points to",
                     "Units that stand out"},
                    {},
                    {false, false, true, true, true, true, true, false, false}};
    for (const RecurringTone& tone : view->tones) {
        const double share = static_cast<double>(tone.units.size()) / std::max(1, view->measured);
        if (bars.size() < most_bars) bars.push_back({name_of(tone), share, tone.share.low, tone.share.high});
        tones.rows.push_back(
            {tone.rate.empty() ? "undeclared" : tone.rate,
             tone.rate.empty() ? "" : tone.kind + " " + std::to_string(tone.line), fixed(tone.hz, 1),
             std::to_string(tone.units.size()) + " of " + std::to_string(view->measured),
             fixed(100.0 * tone.share.low, 0) + " to " + fixed(100.0 * tone.share.high, 0) + " %",
             fixed(mean_of(tone.levels_dbfs), 1),
             tone.units.size() > 1 ? fixed(tone.level_sd_db, 1) : "", words_of(tone.recurs),
             serials_of(*view, tone.stand_out)});
    }
    PageTable units{{"Unit", "Firmware", "Measurements", "Newest answer"}, {}, {false, false, true, false}};
    for (const Unit& unit : view->units)
        units.rows.push_back(
            {unit.serial, unit.firmware, std::to_string(unit.measurements), unit.answer});
    std::string body = html_tag("p", count_of(std::ssize(view->units), "unit", "units") + " in use, " +
                                         std::to_string(view->measured) +
                                         " of them measured. Each counts by its newest measurement.");
    body += html_figure("In how many units",
                        shares_svg("Share of the measured units in which each tone is heard, with its 95 % "
                                   "interval",
                                   bars),
                        std::string("Bars: share of the measured units. Lines with ends: Wilson's 95 % interval.") +
                            (view->tones.size() > most_bars ? " The table has the rarer ones too." : ""));
    if (!tones.rows.empty()) body += html_tag("h2", "Tones") + html_table(tones);
    body += html_tag("h2", "Units") + html_table(units);
    body += page_limits({"Design or assembly is a lead: nearly all units share what the design does, and a few "
                         "units share what a hand or a part did. 'Either' means that too few were measured to "
                         "tell.",
                         "Levels compare only as far as microphone and distance were the same."});
    return page_of(OutputKind::batch_page, "Batch " + batch, batch_answer(*view), body + page_cautions());
}

Result<std::string> comparison_page(Logbook& logbook, const std::string& a, const std::string& b,
                                    const std::string& rate, double hz) {
    const auto side_a = find_side(logbook, a);
    if (!side_a) return side_a.error();
    const auto side_b = find_side(logbook, b);
    if (!side_b) return side_b.error();
    const auto comparison = compare_sides(logbook, *side_a, *side_b, rate, hz);
    if (!comparison) return comparison.error();
    const Comparison& c = *comparison;
    auto sentences = comparison_sentences(c);
    const std::string answer = sentences.front();
    sentences.erase(sentences.begin());
    PageTable table{{"Side", "Unit", "Whined", "dBFS", "Microphone", "cm"},
                    {},
                    {false, false, false, true, false, true}};
    for (const auto* side : {&c.in_a, &c.in_b})
        for (const SideValue& value : *side)
            table.rows.push_back({side_name(side == &c.in_a ? c.a : c.b), value.serial,
                                  !value.known ? "cannot tell" : value.whined ? "yes" : "no, below",
                                  value.known ? fixed(value.level_dbfs, 1) : "", value.microphone,
                                  value.distance_cm ? trimmed(*value.distance_cm, 1) : ""});
    const std::string what = c.rate.empty() ? "the tone at " + short_hz(c.hz) : c.rate;
    std::string body = html_list(sentences);
    body += html_figure("Levels",
                        sides_svg("Level of " + what + " in " + side_name(c.a) + " and in " + side_name(c.b) +
                                      ", unit by unit",
                                  side_name(c.a), side_name(c.b), marks_of(c.in_a), marks_of(c.in_b), c.paired),
                        std::string("Dots: heard. Open triangles: not heard, and the level below which it must have "
                                    "been.") +
                            (c.paired ? " Lines join the two measurements of one unit." : ""));
    body += html_tag("h2", "Units") + html_table(table);
    body += page_limits({"A difference that chance would hardly make is still no cause: something else may "
                         "differ between the two sides.",
                         "Levels compare only as far as microphone and distance were the same."});
    return page_of(OutputKind::comparison_page, side_name(c.a) + " against " + side_name(c.b), answer, body + page_cautions());
}

}  // namespace tattletone
