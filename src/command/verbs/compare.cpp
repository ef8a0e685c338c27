#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "command/arguments/logbook_file.h"
#include "command/terminal/console.h"
#include "command/terminal/listing.h"
#include "logbook/units/comparison.h"
#include "report/text/wrap.h"

namespace tattletone::command {
namespace {

Listing value_listing(const logbook::Comparison& comparison) {
    Listing listing{"tattletone comparison 1",
                    "units",
                    {{"side", "Side"},
                     {"serial", "Unit"},
                     {"whined", "Whined"},
                     {"level_dbfs", "dBFS", true},
                     {"microphone", "Microphone"},
                     {"distance_cm", "cm", true}},
                    {},
                    "No unit."};
    for (const auto* side : {&comparison.in_a, &comparison.in_b})
        for (const logbook::GroupValue& value : *side) {
            const logbook::Group& of = side == &comparison.in_a ? comparison.a : comparison.b;
            listing.rows.push_back({of.key + " " + of.value, value.serial,
                                    !value.known   ? "cannot tell"
                                    : value.whined ? "yes"
                                                   : "no, below",
                                    value.known ? base::fixed(value.level_dbfs, 1) : "", value.microphone,
                                    value.distance_cm ? base::trimmed(*value.distance_cm, 1) : ""});
        }
    return listing;
}

std::string comparison_json(const logbook::Comparison& c) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone comparison 1");
    json.key("rate").text_or_null(c.rate).key("hz").real(c.hz, 1).key("paired").boolean(c.paired);
    for (const bool first : {true, false}) {
        const logbook::Group& side = first ? c.a : c.b;
        json.key(first ? "a" : "b").open('{').key(side.key).text(side.value);
        json.key("whined").integer(first ? c.whined_a : c.whined_b);
        json.key("of").integer(first ? c.of_a : c.of_b).close('}');
    }
    json.key("p_whined").real(c.p_whined, 6).key("least_p").real(c.least_p, 6);
    json.key("fell_by_db");
    c.level ? json.real(c.level->mean, 2) : json.null();
    json.key("fell_by_db_95").open('[');
    if (c.level) json.real(c.level->interval.low, 2).real(c.level->interval.high, 2);
    json.close(']').key("p_level");
    c.level ? json.real(c.level->p, 6) : json.null();
    json.key("level_is_bound").boolean(c.level_is_bound).key("sentences").open('[');
    for (const std::string& sentence : logbook::comparison_sentences(c)) json.text(sentence);
    return json.close(']').close('}').str() + '\n';
}

}  // namespace

int run_compare(const Arguments& arguments) {
    std::string first, second, rate, tone, logbook_file;
    OutputOptions chosen;
    Options options("compare",
                    "Two batches, firmwares, revisions or labels against each other, by the newest measurement "
                    "of each unit on each side: in pairs where two units or more are on both sides, or one that is "
                    "all that a side has.",
                    "  tattletone compare firmware=1.2 firmware=1.3\n"
                    "  tattletone compare before after --rate ranger.frame");
    options.app
        .add_option("A", first,
                    "KEY=VALUE with batch, firmware, revision or label; VALUE alone where "
                    "only one of them has it")
        ->required()
        ->type_name("");
    options.app.add_option("B", second, "the other side")->required()->type_name("");
    options.app.add_option("--rate", rate, "which rate; else the one heard in most units")->type_name("RATE");
    options.app.add_option("--tone", tone, "a tone of no rate, within 0.5 %")->type_name("HZ");
    declare_output(options, chosen);
    declare_logbook(options, logbook_file);
    if (const auto status = options.parse(arguments)) return *status;
    double hz = 0.0;
    if (!tone.empty()) {
        const auto number = options.number("--tone", tone, 1.0, 1e6);
        if (!number) return exit_usage;
        hz = *number;
    }
    auto logbook = open_logbook(logbook_file, logbook::Logbook::Mode::existing);
    if (!logbook) return exit_failed;
    const auto a = or_tell(logbook::find_side(*logbook, first));
    const auto b = or_tell(logbook::find_side(*logbook, second));
    if (!a || !b) return exit_failed;
    const auto comparison = or_tell(logbook::compare_sides(*logbook, *a, *b, rate, hz));
    if (!comparison) return exit_failed;
    if (chosen.csv) return show(value_listing(*comparison), chosen);
    const int columns = std::min(terminal_of(Stream::out).columns, 100);
    std::string text;
    for (const std::string& sentence : logbook::comparison_sentences(*comparison))
        text += report::wrapped(sentence, columns);
    return print(chosen.json ? comparison_json(*comparison)
                             : text + '\n' + listing_text(value_listing(*comparison), columns))
               ? exit_done
               : exit_failed;
}

}  // namespace tattletone::command
