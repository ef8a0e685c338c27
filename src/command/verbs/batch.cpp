#include <algorithm>
#include <iterator>

#include "base/text/number.h"
#include "command/arguments/actions.h"
#include "command/arguments/logbook_file.h"
#include "command/terminal/console.h"
#include "command/terminal/listing.h"
#include "logbook/units/recurrence.h"
#include "report/text/wrap.h"

namespace tattletone::command {
namespace {

std::string serials_of(const logbook::BatchView& view, const std::vector<std::size_t>& units) {
    std::string text;
    for (const std::size_t unit : units) text += (text.empty() ? "" : " ") + view.units[unit].serial;
    return text;
}

Listing tone_listing(const logbook::BatchView& view) {
    Listing listing{"tattletone batch 1",
                    "tones",
                    {{"rate", "Rate"},
                     {"kind", "Line"},
                     {"order", "", true},
                     {"other", ""},
                     {"hz", "Hz", true},
                     {"low_hz", "", true},
                     {"high_hz", "", true},
                     {"units", "Units", true},
                     {"of", "of", true},
                     {"share_low", "", true},
                     {"share_high", "", true},
                     {"level_dbfs", "dBFS", true},
                     {"level_sd_db", "sd dB", true},
                     {"points_to", "Points to"},
                     {"serials", ""},
                     {"stand_out", "Stand out"}},
                    {},
                    "No unit that was measured has a tone of the board."};
    static constexpr const char* words[] = {"design", "assembly", "either"};
    for (const logbook::RecurringTone& tone : view.tones)
        listing.rows.push_back(
            {tone.rate, tone.rate.empty() ? "" : tone.kind + " " + std::to_string(tone.line),
             tone.rate.empty() ? "" : std::to_string(tone.line), tone.other, base::fixed(tone.hz, 2),
             base::fixed(tone.low_hz, 2), base::fixed(tone.high_hz, 2), std::to_string(tone.units.size()),
             std::to_string(view.measured), base::fixed(tone.share.low, 3), base::fixed(tone.share.high, 3),
             base::fixed(logbook::mean_of(tone.levels_dbfs), 1),
             tone.units.size() > 1 ? base::fixed(tone.level_sd_db, 1) : "", words[static_cast<int>(tone.recurs)],
             serials_of(view, tone.units), serials_of(view, tone.stand_out)});
    return listing;
}

std::string batch_text(const std::string& batch, const logbook::BatchView& view, int columns) {
    std::string text = report::wrapped(
        "Batch " + batch + ": " + base::count_of(std::ssize(view.units), "unit", "units") + " in use, " +
            std::to_string(view.measured) + " of them measured. Each counts by its newest measurement.",
        columns);
    for (const logbook::RecurringTone& tone : view.tones) {
        if (tone.recurs == logbook::Recurs::between) continue;
        const std::string what =
            (tone.rate.empty() ? "An undeclared tone"
                               : tone.rate + ", " + tone.kind + " " + std::to_string(tone.line) + ",") +
            " at " + base::short_hz(tone.hz) + " is in " + std::to_string(tone.units.size()) + " of " +
            base::count_of(view.measured, "unit", "units") + " (" + base::fixed(100.0 * tone.share.low, 0) + " to " +
            base::fixed(100.0 * tone.share.high, 0) + " %, Wilson's 95 % interval): ";
        text += report::wrapped(
            what + (tone.recurs == logbook::Recurs::in_design
                        ? "that points to the design."
                        : "that points to assembly or single parts (" + serials_of(view, tone.units) + ")."),
            columns, "- ", "  ");
    }
    text += '\n' + listing_text(tone_listing(view), columns);
    if (std::any_of(view.tones.begin(), view.tones.end(),
                    [](const logbook::RecurringTone& tone) { return tone.recurs == logbook::Recurs::between; }))
        text +=
            '\n' + report::wrapped(
                       "'either': from so few units design and assembly cannot be told apart. Measure more.", columns);
    return text;
}

int show_batch(const Arguments& arguments) {
    std::string batch, logbook_file;
    OutputOptions chosen;
    logbook::UnitFilter filter;
    Options options("batch show", "Which tones recur in a batch, in how many units, and which units stand out.",
                    "  tattletone batch show B1");
    options.app.add_option("BATCH", filter.batch, "the batch")->required()->type_name("");
    options.app.add_option("--firmware", filter.firmware, "only units with this firmware")->type_name("F");
    declare_output(options, chosen);
    auto [logbook, status] = parse_and_open(options, arguments, logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return status;
    const auto view = or_tell(logbook::view_batch(*logbook, filter));
    if (!view) return exit_failed;
    if (view->units.empty()) {
        tell({"batch '" + filter.batch + "'", "the logbook has no unit in use of this batch",
              "'tattletone unit list' shows the batches"});
        return exit_failed;
    }
    if (chosen.json || chosen.csv) return show(tone_listing(*view), chosen);
    const int columns = std::min(terminal_of(Stream::out).columns, 100);
    return print(batch_text(filter.batch, *view, columns)) ? exit_done : exit_failed;
}

}  // namespace

int run_batch(const Arguments& arguments) {
    static constexpr Verb actions[] = {
        {"show", "which tones recur, in how many units, and what that points to", show_batch},
    };
    return run_action("batch", "A batch is the lot that units came from.", actions, arguments);
}

}  // namespace tattletone::command
