#include "base/text/json_writer.h"
#include "board/confusable.h"
#include "report/prediction.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr int hz_decimals = 4;

const std::string& name_of(const board::BoardSheet& sheet, int rate) {
    return sheet.rates[static_cast<std::size_t>(rate)].full_name;
}

void write_line(base::JsonWriter& json, const board::BoardSheet& sheet, const board::Line& line) {
    json.open('{');
    json.key("kind").text(match::kind_word(line.kind));
    json.key("order").integer(line.order);
    json.key("other");
    line.other >= 0 ? json.text(name_of(sheet, line.other)) : json.null();
    json.key("hz").real(line.nominal_hz, hz_decimals);
    json.key("low_hz").real(line.low_hz, hz_decimals);
    json.key("high_hz").real(line.high_hz, hz_decimals);
    json.close('}');
}

void write_rate(base::JsonWriter& json, const board::BoardSheet& sheet, int index, const board::LineLimits& limits) {
    static constexpr const char* shapes[] = {"pulse", "square", "sine"};
    const board::Rate& rate = sheet.rates[static_cast<std::size_t>(index)];
    json.open('{');
    json.key("rate").text(rate.full_name);
    json.key("part").text(sheet.parts[static_cast<std::size_t>(rate.part)].name);
    json.key("low_hz").real(rate.lowest_hz(), hz_decimals);
    json.key("high_hz").real(rate.highest_hz(), hz_decimals);
    json.key("wanders").boolean(rate.wanders());
    json.key("tolerance_ppm");
    rate.wanders() ? json.null() : json.real(rate.tolerance_ppm, 3);
    json.key("tolerance_assumed").boolean(rate.tolerance_assumed);
    json.key("shape").text(shapes[static_cast<int>(rate.shape)]);
    json.key("active_in");
    if (rate.active_in.empty()) {
        json.null();
    } else {
        json.open('[');
        for (const int state : rate.active_in) json.text(sheet.states[static_cast<std::size_t>(state)]);
        json.close(']');
    }
    json.key("lines").open('[');
    for (const board::Line& line : board::lines_of(sheet, index, limits)) write_line(json, sheet, line);
    json.close(']').close('}');
}

void write_pair(base::JsonWriter& json, const board::BoardSheet& sheet, const board::ConfusablePair& pair) {
    json.open('{');
    json.key("rate").text(name_of(sheet, pair.rate));
    json.key("other").text(name_of(sheet, pair.other));
    json.key("multiple").integer(pair.multiple);
    json.key("at_hz").real(pair.at_hz, hz_decimals);
    json.key("told_by_line");
    if (pair.line) {
        json.open('{');
        json.key("rate").text(name_of(sheet, pair.line->rate));
        json.key("order").integer(pair.line->order);
        json.key("low_hz").real(pair.line->low_hz, hz_decimals);
        json.key("high_hz").real(pair.line->high_hz, hz_decimals);
        json.key("by_shape").boolean(pair.line->by_shape);
        json.close('}');
    } else {
        json.null();
    }
    json.key("told_by_drift").boolean(pair.by_drift);
    json.key("told_by_states").open('[');
    for (const int state : pair.states) json.text(sheet.states[static_cast<std::size_t>(state)]);
    json.close(']').close('}');
}

}  // namespace

std::string prediction_json(const board::BoardSheet& sheet, const board::LineLimits& limits, int state) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone prediction 1");
    json.key("board").text(sheet.name);
    json.key("revision").text_or_null(sheet.revision);
    json.key("state");
    state < 0 ? json.null() : json.text(sheet.states[static_cast<std::size_t>(state)]);
    json.key("band_hz").open('[').whole_or_real(limits.low_hz, 1).whole_or_real(limits.high_hz, 1).close(']');
    json.key("rates").open('[');
    for (int i = 0; i < static_cast<int>(sheet.rates.size()); ++i)
        if (sheet.active(sheet.rates[static_cast<std::size_t>(i)], state)) write_rate(json, sheet, i, limits);
    json.close(']').key("pairs").open('[');
    for (const board::ConfusablePair& pair : board::confusable_pairs(sheet, limits))
        if (sheet.active(sheet.rates[static_cast<std::size_t>(pair.rate)], state) &&
            sheet.active(sheet.rates[static_cast<std::size_t>(pair.other)], state))
            write_pair(json, sheet, pair);
    json.close(']').close('}');
    return json.str();
}

}  // namespace tattletone::report
