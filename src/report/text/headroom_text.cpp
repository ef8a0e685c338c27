#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "board/sheet/rail_keys.h"
#include "match/explain/wording.h"
#include "report/headroom.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"

namespace tattletone::report {
namespace {

std::string number(double value) {
    return base::significant(value, 4);
}
std::string ma(double value) {
    return base::significant(value, 3) + " mA";
}
std::string mw(double value) {
    return base::significant(value, 3) + " mW";
}
std::string volts(double value) {
    return number(value) + " V";
}
std::string dip(double value) {
    return std::abs(value) < 0.1 ? base::significant(value * 1e3, 3) + " mV" : base::significant(value, 3) + " V";
}

constexpr int name_columns = 22;
const std::string under(name_columns, ' ');

class Headroom {
  public:
    Headroom(const board::BoardSheet& sheet, const HeadroomStyle& style) : sheet_(sheet), style_(style) {
        style_.columns = std::max(style.columns, 40);
    }

    std::string text() {
        if (sheet_.rails.empty())
            return wrapped(
                "The sheet declares no rail yet: add a [[rail]] with its regulator's data, and "
                "rail = \"…\" to the parts on it.",
                style_.columns);
        std::vector<board::RailSupply> supplies;
        for (int i = 0; i < static_cast<int>(sheet_.rails.size()); ++i)
            if (style_.rail < 0 || style_.rail == i) supplies.push_back(board::supply_of(sheet_, i));
        for (const board::RailSupply& supply : supplies) put(answer(supply), "", "  ");
        for (const board::RailSupply& supply : supplies) rail(supply);
        heading("How to read this");
        put("fine: at the peaks 20 % of the current and 0.1 V over the dropout are left; tight: less; starved: "
            "more is drawn than the rail is good for. The peaks of all parts that run are summed as if they came at "
            "once. Figures are as good as the sheet: a package's limit depends on copper, air and case.",
            "  ", "  ");
        return std::move(text_);
    }

  private:
    const board::Rail& at(int index) const { return sheet_.rails[static_cast<std::size_t>(index)]; }
    std::string id(int index) const { return base::printable(at(index).id); }
    std::string state_name(int state) const {
        return state < 0 ? "any state" : base::printable(sheet_.states[static_cast<std::size_t>(state)]);
    }

    void put(const std::string& text, const std::string& first, const std::string& next) {
        text_ += wrapped(text, style_.columns, first, next);
    }
    void heading(const std::string& text) { text_ += report::heading(text, style_.columns, style_.bold); }
    void item(const std::string& name, const std::string& text) {
        put(text, left_in("  " + name, name_columns), under);
    }

    static std::string by_words(const board::RailLimits& limits) {
        switch (limits.limited_by) {
            case board::Limit::rating:
                return "its rating";
            case board::Limit::heat:
                return "by heat at " + number(limits.ambient_c) + " °C";
            case board::Limit::dropout:
                return "by dropout";
            case board::Limit::none:
                break;
        }
        return "";
    }

    std::string states_with(const board::RailSupply& supply, board::Supply verdict) const {
        std::vector<std::string> names;
        for (const board::StateSupply& state : supply.states)
            if (state.verdict == verdict && state.state >= 0) names.push_back(state_name(state.state));
        return names.empty() || names.size() == supply.states.size() ? "" : " in " + match::joined(names);
    }

    std::string missing(const board::RailSupply& supply) const {
        if (!supply.limits.good_for_ma)
            return "it needs max_current_ma, or v_in, v_out and max_dissipation_mw of a linear regulator";
        return "no part on it has typical_ma or peak_ma";
    }

    std::string verdict_words(const board::RailSupply& supply) const {
        const board::StateSupply& worst = supply.worst();
        if (!supply.limits.impossible.empty()) return "cannot work: " + supply.limits.impossible;
        if (worst.verdict == board::Supply::unknown) return "cannot be judged: " + missing(supply);
        const std::string where = states_with(supply, worst.verdict);
        return supply_word(worst.verdict) + (worst.verdict == board::Supply::fine ? "" : where) + ": good for " +
               ma(*supply.limits.good_for_ma) + " (" + by_words(supply.limits) + "), and its parts draw " +
               (worst.peak_ma > worst.typical_ma ? ma(worst.typical_ma) + " with peaks of " + ma(worst.peak_ma)
                                                 : ma(worst.typical_ma));
    }

    static std::string would_do(const board::RailSupply& supply) {
        const board::Supply verdict = supply.worst().verdict;
        if (verdict == board::Supply::fine) return "it would do";
        if (verdict == board::Supply::tight) return "it would just do";
        return verdict == board::Supply::starved ? "it would not do" : "nobody can say whether it would do";
    }

    std::string answer(const board::RailSupply& supply) const {
        const bool judged = supply.limits.impossible.empty() && supply.worst().verdict != board::Supply::unknown;
        std::string text;
        if (!style_.tried.empty()) {
            for (const auto& [key, value] : style_.tried)
                text += (text.empty() ? "With " : " and ") + key + " = " + base::printable(value);
            text += ", " + would_do(supply) + ": ";
        }
        text += id(supply.rail) + (judged ? " is " : " ") + verdict_words(supply);
        if (style_.declared != nullptr) {
            const board::RailSupply before = board::supply_of(*style_.declared, supply.rail);
            text += ". As the sheet has it: " + verdict_words(before);
        }
        return text + ".";
    }

    void rail(const board::RailSupply& supply) {
        heading(id(supply.rail) +
                (rail_kind_words(at(supply.rail)).empty() ? "" : ": " + rail_kind_words(at(supply.rail))));
        limits(supply);
        states(supply);
        loads(supply);
        droops(supply);
        needs(supply);
    }

    void limits(const board::RailSupply& supply) {
        const board::Rail& rail = at(supply.rail);
        const board::RailLimits& limits = supply.limits;
        if (limits.rating_ma) item("rating", ma(*limits.rating_ma));
        heat(rail, limits);
        dropout(rail, limits);
        if (!limits.impossible.empty())
            item("good for", "nothing: " + limits.impossible);
        else if (limits.good_for_ma)
            item("good for", ma(*limits.good_for_ma) + ", " + by_words(limits));
        else
            item("good for", "not known: " + missing(supply));
    }

    void heat(const board::Rail& rail, const board::RailLimits& limits) {
        if (!limits.package_mw) {
            if (rail.regulator)
                item("heat", std::string("not reckoned: the sheet gives neither max_dissipation_mw nor "
                                         "theta_ja_c_per_w") +
                                 (rail.regulator == board::Regulator::linear
                                      ? ""
                                      : "; of a switching regulator it takes efficiency_percent too"));
            return;
        }
        const std::string span = number(limits.t_j_max_c) + " - " + number(limits.ambient_c);
        if (limits.by_rating_mw) {
            std::string text = mw(*rail.max_dissipation_mw) + " at 25 °C";
            if (limits.ambient_c > 25.0)
                text += "; at " + number(limits.ambient_c) + " °C " + number(*rail.max_dissipation_mw) + " · (" + span +
                        ") / (" + number(limits.t_j_max_c) + " - 25) = " + mw(*limits.by_rating_mw);
            item("heat", text);
        }
        if (limits.by_theta_mw)
            item(limits.by_rating_mw ? "" : "heat",
                 "(" + span + " °C) / " + number(*rail.theta_ja_c_per_w) + " °C/W = " + mw(*limits.by_theta_mw));
        std::string assumed;
        if (limits.t_j_max_assumed) assumed = number(limits.t_j_max_c) + " °C as the hottest junction (t_j_max_c)";
        if (limits.ambient_assumed)
            assumed += (assumed.empty() ? "" : " and ") + number(limits.ambient_c) + " °C around it (ambient_c)";
        if (!assumed.empty()) item("", "assumed, for the sheet does not say: " + assumed);
        if (!limits.heat_ma) {
            if (!limits.loss_v && rail.regulator && *rail.regulator != board::Regulator::linear)
                item("",
                     "no current from it: what a converter loses follows from its efficiency, and the sheet gives "
                     "no efficiency_percent");
            else if (!limits.loss_v)
                item("", "no current from it without regulator, v_in and v_out");
            return;
        }
        const std::string power = limits.idle_loss_mw > 0.0 ? "(" + mw(*limits.package_mw) + " - " + volts(*rail.v_in) +
                                                                  " · " + ma(*rail.quiescent_ma) + ")"
                                                            : mw(*limits.package_mw);
        const std::string per_ma =
            rail.regulator == board::Regulator::linear
                ? "(" + volts(*rail.v_in) + " - " + volts(*rail.v_out) + ")"
                : "(" + volts(std::abs(*rail.v_out)) + " · (1 / " + number(*rail.efficiency_percent / 100.0) + " - 1))";
        item("", power + " / " + per_ma + " = " + ma(*limits.heat_ma));
        if (rail.regulator != board::Regulator::linear)
            item("", "assumed: all that is lost heats this package; a coil or a diode outside takes its share");
    }

    void dropout(const board::Rail& rail, const board::RailLimits& limits) {
        if (rail.regulator != board::Regulator::linear || !rail.v_out || !(rail.v_in || rail.v_in_min)) return;
        const double lowest = rail.v_in_min.value_or(rail.v_in.value_or(0.0));
        if (!limits.spare_v) {
            item("dropout",
                 "not declared (dropout_v); " + volts(lowest - *rail.v_out) + " lie between input and output");
            return;
        }
        std::string text = volts(lowest) + " - " + volts(*rail.dropout_v) + " - " + volts(*rail.v_out) + " = " +
                           volts(*limits.spare_v) + " to spare";
        if (limits.dropout_ma && *limits.dropout_ma > 0.0)
            text += "; / " + number(*rail.path_mohm) + " mΩ to the source = " + ma(*limits.dropout_ma);
        item("dropout", text);
    }

    void states(const board::RailSupply& supply) {
        text_ += '\n' + left_in("  state", name_columns) + right_in("typical", 9) + right_in("peaks", 10) +
                 right_in("left", 8) + right_in("junction", 10) + "  verdict\n";
        for (const board::StateSupply& state : supply.states)
            text_ += left_in("  " + state_name(state.state), name_columns) + right_in(ma(state.typical_ma), 9) +
                     right_in(ma(state.peak_ma), 10) +
                     right_in(state.left_share ? base::fixed(100.0 * *state.left_share, 0) + " %" : "-", 8) +
                     right_in(state.junction_c ? base::fixed(*state.junction_c, 0) + " °C" : "-", 10) + "  " +
                     (state.verdict == board::Supply::unknown ? "cannot say" : supply_word(state.verdict)) + '\n';
        const board::StateSupply& worst = supply.worst();
        if (worst.verdict != board::Supply::starved || supply.limits.limited_by != board::Limit::heat) return;
        if (worst.only_peaks_starve && worst.short_bursts)
            put("Bursts this short heat the package by their average, which it bears; what they do is pull the rail "
                "down while the regulator has nothing to spare.",
                "  ", "  ");
        else if (!worst.only_peaks_starve)
            put("A regulator that gets too hot cuts off, cools and starts again: a slow tick, not a tone.", "  ", "  ");
    }

    void loads(const board::RailSupply& supply) {
        const board::StateSupply& worst = supply.worst();
        if (worst.loads.empty()) return;
        put("What sums up in " + state_name(worst.state) + ":", "\n  ", "  ");
        bool unpeaked = false, lossless = false;
        std::vector<std::string> uncounted;
        for (const board::Load& load : worst.loads) {
            const bool is_part = load.part >= 0;
            const std::string name = is_part ? base::printable(sheet_.parts[static_cast<std::size_t>(load.part)].id)
                                             : "rail " + id(load.rail);
            if (!load.declared) {
                uncounted.push_back(name);
                continue;
            }
            lossless = lossless || load.lossless;
            unpeaked = unpeaked || !load.runs;
            text_ += left_in("    " + name, name_columns) + right_in(ma(load.typical_ma), 9) +
                     right_in(ma(load.peak_ma), 10) + (load.runs ? "" : "  rests") + '\n';
        }
        if (unpeaked)
            put("A part rests where none of its rates runs: it counts with idle_ma, or its typical current where the "
                "sheet gives none.",
                "  ", "  ");
        if (lossless)
            put("A rail fed from here without efficiency_percent counts as lossless, so it draws more in truth.", "  ",
                "  ");
        if (!uncounted.empty())
            put("Not counted, for the sheet gives no current: " + match::joined(uncounted) + ".", "  ", "  ");
    }

    void droops(const board::RailSupply& supply) {
        if (supply.droops.empty()) return;
        const board::Rail& rail = at(supply.rail);
        put("What a burst takes from the output capacitor while the regulator does not help (I·t/C + I·ESR):", "\n  ",
            "  ");
        for (const board::Droop& droop : supply.droops) {
            std::string text = ma(droop.current_ma) + " · " + number(droop.burst_us) + " µs / " +
                               number(*rail.output_capacitance_uf) + " µF = " + dip(droop.charge_v);
            if (rail.esr_mohm && *rail.esr_mohm > 0.0)
                text += ", + " + ma(droop.current_ma) + " · " + number(*rail.esr_mohm) + " mΩ = " + dip(droop.esr_v) +
                        ": " + dip(droop.total_v());
            put(base::printable(sheet_.rates[static_cast<std::size_t>(droop.rate)].full_name) + ": " + text, "    ",
                "      ");
        }
        put("A ceramic capacitor of class II (X7R, X5R) keeps as little as 20 to 60 % of its rated value at full bias: "
            "put the value under bias into the sheet.",
            "  ", "  ");
    }

    void needs(const board::RailSupply& supply) {
        const board::StateSupply& worst = supply.worst();
        const bool asked = style_.rail >= 0 || worst.verdict > board::Supply::fine;
        if (!asked || worst.verdict == board::Supply::unknown) return;
        const board::Needs needs = board::needs_of(sheet_, supply);
        if (!(needs.current_ma > 0.0)) return;
        put("What a regulator in this place must have, with 20 % to spare:", "\n  ", "  ");
        const auto point = [&](const std::string& text) { put(text, "    - ", "      "); };
        point("a rating of " + ma(needs.current_ma) + " or more");
        if (needs.peak_mw && supply.limits.package_mw) {
            point("a package for " + mw(*needs.peak_mw) + " at " + number(supply.limits.ambient_c) + " °C: rated " +
                  mw(*needs.peak_rated_mw) + " at 25 °C, or theta_JA up to " + base::significant(*needs.peak_theta, 3) +
                  " °C/W");
            if (worst.short_bursts && *needs.typical_mw < 0.95 * *needs.peak_mw)
                point("by the average alone, as bursts this short heat it: " + mw(*needs.typical_mw) + ", rated " +
                      mw(*needs.typical_rated_mw) + " at 25 °C, or up to " +
                      base::significant(*needs.typical_theta, 3) + " °C/W");
        }
        const board::Rail& rail = at(supply.rail);
        const bool too_low = needs.dropout_v && *needs.dropout_v <= 0.0;
        if (needs.dropout_v)
            point(too_low ? "a higher input: no dropout is small enough"
                          : "a dropout of " + volts(std::floor(*needs.dropout_v * 1e3) * 1e-3) +
                                " or less at that current");
        if (needs.v_in_for_this_package && rail.v_out && *needs.v_in_for_this_package > *rail.v_out)
            point((too_low ? "with this package, but not above " : "or, with this package, an input of ") +
                  volts(std::floor(*needs.v_in_for_this_package * 100) / 100) + (too_low ? "" : " or less") +
                  ", and a dropout that goes with it");
        capacitance(supply);
    }

    void capacitance(const board::RailSupply& supply) {
        const board::Rail& rail = at(supply.rail);
        if (supply.droops.empty() || !rail.v_out) return;
        const board::Droop& worst =
            *std::max_element(supply.droops.begin(), supply.droops.end(),
                              [](const board::Droop& a, const board::Droop& b) { return a.total_v() < b.total_v(); });
        const double allowed = 0.01 * std::abs(*rail.v_out);
        if (worst.total_v() <= allowed) return;
        const double needed =
            board::capacitance_for_uf(allowed, worst.current_ma, worst.burst_us, rail.esr_mohm.value_or(0.0));
        put(std::isinf(needed) ? "a smaller ESR: it alone takes more than 1 % of the output"
                               : "for a dip of 1 % (" + dip(allowed) + ") without the regulator's help: " +
                                     base::significant(needed, 3) + " µF under bias",
            "    - ", "      ");
    }

    const board::BoardSheet& sheet_;
    HeadroomStyle style_;
    std::string text_;
};

}  // namespace

std::string supply_word(board::Supply supply) {
    static constexpr const char* words[] = {"unknown", "fine", "tight", "starved"};
    return words[static_cast<int>(supply)];
}

std::string limit_word(board::Limit limit) {
    static constexpr const char* words[] = {"", "rating", "heat", "dropout"};
    return words[static_cast<int>(limit)];
}

std::string rail_kind_words(const board::Rail& rail) {
    std::string text = rail.regulator ? board::regulator_words[static_cast<int>(*rail.regulator)] : "";
    if (rail.v_out)
        text +=
            (text.empty() ? "" : ", ") + (rail.v_in ? volts(*rail.v_in) + " to " : std::string()) + volts(*rail.v_out);
    return text;
}

std::string headroom_text(const board::BoardSheet& sheet, const HeadroomStyle& style) {
    return Headroom(sheet, style).text();
}

}  // namespace tattletone::report
