#include <algorithm>
#include <iterator>

#include "command/actions.h"
#include "command/console.h"
#include "command/listing.h"
#include "command/logbook_file.h"
#include "logbook/recurrence.h"
#include "report/number.h"
#include "report/wrap.h"

namespace tattletone {
namespace {

std::string serials_of(const BatchView& view, const std::vector<std::size_t>& units) {
    std::string text;
    for (const std::size_t unit : units) text += (text.empty() ? "" : " ") + view.units[unit].serial;
    return text;
}

Listing tone_listing(const BatchView& view) {
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
    for (const RecurringTone& tone : view.tones)
        listing.rows.push_back(
            {tone.rate, tone.rate.empty() ? "" : tone.kind + " " + std::to_string(tone.line),
             tone.rate.empty() ? "" : std::to_string(tone.line), tone.other, fixed(tone.hz, 2),
             fixed(tone.low_hz, 2), fixed(tone.high_hz, 2), std::to_string(tone.units.size()),
             std::to_string(view.measured), fixed(tone.share.low, 3), fixed(tone.share.high, 3),
             fixed(mean_of(tone.levels_dbfs), 1), tone.units.size() > 1 ? fixed(tone.level_sd_db, 1) : "",
             words[static_cast<int>(tone.recurs)], serials_of(view, tone.units),
             serials_of(view, tone.stand_out)});
    return listing;
}

std::string batch_text(const std::string& batch, const BatchView& view, int columns) {
    std::string text = wrapped("Batch " + batch + ": " + count_of(std::ssize(view.units), "unit", "units") +
                                   " in use, " + std::to_string(view.measured) +
                                   " of them measured. Each counts by its newest measurement.",
                               columns);
    for (const RecurringTone& tone : view.tones) {
        if (tone.recurs == Recurs::between) continue;
        const std::string what = (tone.rate.empty() ? "An undeclared tone" : tone.rate + ", " + tone.kind + " " +
                                                                                 std::to_string(tone.line) + ",") +
                                 " at " + short_hz(tone.hz) + " is in " + std::to_string(tone.units.size()) +
                                 " of " + count_of(view.measured, "unit", "units") + " (" +
                                 fixed(100.0 * tone.share.low, 0) + " to " + fixed(100.0 * tone.share.high, 0) +
                                 " %, Wilson's 95 % interval): ";
        text += wrapped(what + (tone.recurs == Recurs::in_design
                                    ? "that points to the design."
                                    : "that points to assembly or single parts (" +
                                          serials_of(view, tone.units) + ")."),
                        columns, "- ", "  ");
    }
    text += '\n' + listing_text(tone_listing(view), columns);
    if (std::any_of(view.tones.begin(), view.tones.end(),
                    [](const RecurringTone& tone) { return tone.recurs == Recurs::between; }))
        text += '\n' + wrapped("'either': from so few units design and assembly cannot be told apart. Measure more.",
                              columns);
    return text;
}

int show_batch(const Arguments& arguments) {
    std::string batch, logbook_file;
    OutputWish wish;
    UnitFilter filter;
    Options options("batch show",
                    "Which tones recur in a batch, in how many units, and which units stand out.",
                    "  tattletone batch show B1");
    options.app.add_option("BATCH", filter.batch, "the batch")->required()->type_name("");
    options.app.add_option("--firmware", filter.firmware, "only units with this firmware")->type_name("F");
    declare_output(options, wish);
    declare_logbook(options, logbook_file);
    if (const auto status = options.parse(arguments)) return *status;
    auto logbook = open_logbook(logbook_file, Logbook::Mode::existing);
    if (!logbook) return exit_failed;
    const auto view = or_tell(view_batch(*logbook, filter));
    if (!view) return exit_failed;
    if (view->units.empty()) {
        tell({"batch '" + filter.batch + "'", "the logbook has no unit in use of this batch",
              "'tattletone unit list' shows the batches"});
        return exit_failed;
    }
    if (wish.json || wish.csv) return show(tone_listing(*view), wish);
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

}  // namespace tattletone
