#include "base/text/json_writer.h"
#include "board/sheet/rail_keys.h"
#include "report/headroom.h"

namespace tattletone::report {
namespace {

constexpr int headroom_decimals = 3;

void real_or_null(base::JsonWriter& json, const char* key, const std::optional<double>& value) {
    json.key(key);
    value ? json.whole_or_real(*value, headroom_decimals) : json.null();
}

void write_limits(base::JsonWriter& json, const board::RailLimits& limits) {
    json.key("limits").open('{');
    real_or_null(json, "rating_ma", limits.rating_ma);
    json.key("ambient_c").whole_or_real(limits.ambient_c, headroom_decimals);
    json.key("ambient_assumed").boolean(limits.ambient_assumed);
    json.key("t_j_max_c").whole_or_real(limits.t_j_max_c, headroom_decimals);
    json.key("t_j_max_assumed").boolean(limits.t_j_max_assumed);
    real_or_null(json, "package_mw", limits.package_mw);
    real_or_null(json, "heat_ma", limits.heat_ma);
    real_or_null(json, "dropout_spare_v", limits.spare_v);
    real_or_null(json, "dropout_ma", limits.dropout_ma);
    real_or_null(json, "good_for_ma", limits.good_for_ma);
    json.key("limited_by").text_or_null(limit_word(limits.limited_by));
    json.key("impossible").text_or_null(limits.impossible);
    json.close('}');
}

void write_state(base::JsonWriter& json, const board::BoardSheet& sheet, const board::StateSupply& state) {
    json.open('{').key("state");
    state.state < 0 ? json.null() : json.text(sheet.states[static_cast<std::size_t>(state.state)]);
    json.key("typical_ma").whole_or_real(state.typical_ma, headroom_decimals);
    json.key("peak_ma").whole_or_real(state.peak_ma, headroom_decimals);
    json.key("verdict").text(supply_word(state.verdict));
    real_or_null(json, "left_share", state.left_share);
    real_or_null(json, "left_v", state.left_v);
    real_or_null(json, "dissipation_mw", state.loss_mw);
    real_or_null(json, "junction_c", state.junction_c);
    json.key("only_peaks_starve").boolean(state.only_peaks_starve);
    json.key("short_bursts").boolean(state.short_bursts);
    json.key("loads").open('[');
    for (const board::Load& load : state.loads) {
        json.open('{').key("part");
        load.part < 0 ? json.null() : json.text(sheet.parts[static_cast<std::size_t>(load.part)].id);
        json.key("rail");
        load.rail < 0 ? json.null() : json.text(sheet.rails[static_cast<std::size_t>(load.rail)].id);
        real_or_null(json, "typical_ma", load.declared ? std::optional(load.typical_ma) : std::nullopt);
        real_or_null(json, "peak_ma", load.declared ? std::optional(load.peak_ma) : std::nullopt);
        json.key("runs").boolean(load.runs);
        json.key("taken_as_lossless").boolean(load.lossless);
        json.close('}');
    }
    json.close(']').close('}');
}

void write_needs(base::JsonWriter& json, const board::Needs& needs) {
    json.key("needs").open('{');
    json.key("max_current_ma").whole_or_real(needs.current_ma, headroom_decimals);
    real_or_null(json, "package_mw", needs.peak_mw);
    real_or_null(json, "max_dissipation_mw", needs.peak_rated_mw);
    real_or_null(json, "theta_ja_c_per_w", needs.peak_theta);
    real_or_null(json, "average_max_dissipation_mw", needs.typical_rated_mw);
    real_or_null(json, "average_theta_ja_c_per_w", needs.typical_theta);
    real_or_null(json, "dropout_v", needs.dropout_v);
    real_or_null(json, "v_in_for_this_package", needs.v_in_for_this_package);
    json.close('}');
}

void write_rail(base::JsonWriter& json, const board::BoardSheet& sheet, int index) {
    const board::Rail& rail = sheet.rails[static_cast<std::size_t>(index)];
    const board::RailSupply supply = board::supply_of(sheet, index);
    json.open('{').key("rail").text(rail.id);
    json.key("regulator");
    rail.regulator ? json.text(board::regulator_words[static_cast<int>(*rail.regulator)]) : json.null();
    json.key("verdict").text(supply_word(supply.worst().verdict));
    json.key("values").open('{');
    for (const board::RailKey& key : board::rail_keys()) real_or_null(json, key.name, rail.*key.value);
    json.close('}');
    write_limits(json, supply.limits);
    json.key("states").open('[');
    for (const board::StateSupply& state : supply.states) write_state(json, sheet, state);
    json.close(']').key("droops").open('[');
    for (const board::Droop& droop : supply.droops) {
        json.open('{').key("rate").text(sheet.rates[static_cast<std::size_t>(droop.rate)].full_name);
        json.key("current_ma").whole_or_real(droop.current_ma, headroom_decimals);
        json.key("burst_us").whole_or_real(droop.burst_us, headroom_decimals);
        json.key("charge_v").real(droop.charge_v, 6);
        json.key("esr_v").real(droop.esr_v, 6);
        json.close('}');
    }
    json.close(']');
    write_needs(json, board::needs_of(sheet, supply));
    json.close('}');
}

}  // namespace

std::string headroom_json(const board::BoardSheet& sheet, const HeadroomStyle& style) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone headroom 1");
    json.key("board").text(sheet.name);
    json.key("revision").text_or_null(sheet.revision);
    json.key("tried").open('{');
    for (const auto& [key, value] : style.tried) json.key(key).text(value);
    json.close('}').key("rails").open('[');
    for (int i = 0; i < static_cast<int>(sheet.rails.size()); ++i)
        if (style.rail < 0 || style.rail == i) write_rail(json, sheet, i);
    json.close(']').close('}');
    return json.str();
}

}  // namespace tattletone::report
