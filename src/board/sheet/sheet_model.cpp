#include "board/sheet/sheet_model.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <utility>

#include "base/text/printable.h"
#include "board/sheet/rail_keys.h"

namespace tattletone::board {
namespace {

constexpr double lowest_hz = 1.0, highest_hz = 1e10;
constexpr Range rate_range{lowest_hz, highest_hz, true, " Hz"};
constexpr Range positive{0.0, 1e9, false};
constexpr Range not_negative{0.0, 1e9};
constexpr std::size_t most_states = 1000;

// Remembers ids of one kind and complains about the second use of one.
class Ids {
  public:
    void add(const Found<std::string>& id, const std::string& kind, Diagnostics& diagnostics) {
        const auto [entry, fresh] = first_.emplace(id.value, id.place);
        if (fresh) return;
        diagnostics.add(id.place,
                        "the " + kind + " '" + base::briefly(id.value) +
                            "' is there a second time; the first is in line " + std::to_string(entry->second.line),
                        "Give one of them another id");
    }

  private:
    std::map<std::string, TextPlace> first_;
};

class Reader {
  public:
    explicit Reader(Diagnostics& diagnostics) : diagnostics_(diagnostics) {}

    BoardSheet read(const toml::table& root) {
        SheetTable top(root, {1, 1}, "the sheet", diagnostics_);
        const toml::table* board = top.table("board", "[board]");
        const auto rails = top.tables("rail", "[[rail]]");
        const auto parts = top.tables("part", "[[part]]");
        if (board != nullptr)
            read_board(*board);
        else if (!top.has("board"))
            top.missing("[board]", "Begin with the line [board] and, under it, name = \"…\"");
        Ids rail_ids, part_ids;
        for (const auto& rail : rails) read_rail(rail, rail_ids);
        connect_rails();
        for (const auto& part : parts) read_part(part, part_ids);
        top.finish();
        return std::move(sheet_);
    }

  private:
    void read_board(const toml::table& table) {
        SheetTable board(table, place_of(table.source()), "[board]", diagnostics_);
        if (const auto name = board.text("name"))
            sheet_.name = name->value;
        else if (!board.has("name"))
            board.missing("name", "Add name = \"…\" under [board]");
        if (const auto revision = board.text("revision")) sheet_.revision = revision->value;
        Ids ids;
        if (const auto states = board.texts("states")) {
            for (const auto& state : *states) {
                if (sheet_.states.size() == most_states) {
                    diagnostics_.add(state.place, "there are more than " + std::to_string(most_states) + " states",
                                     "List the states in which the board was recorded or could be");
                    break;
                }
                if (!is_id(state.value)) {
                    diagnostics_.add(state.place, "'" + base::briefly(state.value) + "' cannot be a state", id_rule);
                    continue;
                }
                ids.add(state, "state", diagnostics_);
                sheet_.states.push_back(state.value);
            }
        }
        board.finish();
    }

    /// Of a rail or part, which from then on is called by it; empty where it is missing.
    std::string read_id(SheetTable& table, const std::string& kind, Ids& ids) {
        const auto id = table.id("id");
        if (id) {
            table.rename(kind + " '" + id->value + "'");
            ids.add(*id, kind, diagnostics_);
        } else if (!table.has("id")) {
            table.missing("id", "Add id = \"…\" under [[" + kind + "]]");
        }
        return id ? id->value : std::string();
    }

    void read_rail(const Found<const toml::table*>& found, Ids& ids) {
        SheetTable table(*found.value, found.place, "this rail", diagnostics_);
        const int index = static_cast<int>(sheet_.rails.size());
        Rail rail;
        rail.id = read_id(table, "rail", ids);
        if (const auto word = table.word("regulator", {std::begin(regulator_words), std::end(regulator_words)}))
            rail.regulator = static_cast<Regulator>(*word);
        for (const RailKey& key : rail_keys())
            rail.*key.value = table.number(key.name, {key.low, key.high, key.low_included, key.unit});
        if (const auto feeder = table.text("fed_by")) feeders_.push_back({index, *feeder});
        table.finish();
        sheet_.rails.push_back(std::move(rail));
    }

    void connect_rails() {
        for (const auto& [index, feeder] : feeders_) {
            Rail& rail = sheet_.rails[static_cast<std::size_t>(index)];
            const std::string name = "rail '" + rail.id + "'";
            const int by = rail_index(feeder, name);
            bool circle = false;
            for (int at = by; at >= 0 && !circle; at = sheet_.rails[static_cast<std::size_t>(at)].fed_by)
                circle = at == index;
            if (circle) {
                diagnostics_.add(feeder.place, name + " feeds itself, by fed_by",
                                 "Let fed_by name the rail from which its regulator draws");
                continue;
            }
            rail.fed_by = by;
            if (by < 0) continue;
            const std::optional<double>& given = sheet_.rails[static_cast<std::size_t>(by)].v_out;
            if (!rail.v_in && given && *given > 0.0) rail.v_in = given;
            if (rail.v_in && given && std::abs(*rail.v_in - *given) > 1e-6)
                diagnostics_.add(feeder.place,
                                 "the v_in of " + name + " is not the v_out of '" + base::briefly(feeder.value) +
                                     "', which feeds it",
                                 "Leave v_in out, or give both the same voltage");
        }
    }

    void read_part(const Found<const toml::table*>& found, Ids& ids) {
        SheetTable table(*found.value, found.place, "this part", diagnostics_);
        Part part;
        part.id = read_id(table, "part", ids);
        const auto name = table.text("name");
        part.name = name ? name->value : part.id;
        if (const auto rail = table.text("rail")) part.rail = rail_index(*rail, table.what());
        part.typical_ma = table.number("typical_ma", not_negative);
        part.peak_ma = table.number("peak_ma", not_negative);
        part.idle_ma = table.number("idle_ma", not_negative);
        part.settle_s = table.number("settle_s", {0.0, 20.0, true, " s"});
        if (part.typical_ma && part.peak_ma && *part.peak_ma < *part.typical_ma)
            table.complain("peak_ma", "'peak_ma' of " + table.what() + " is below its typical_ma",
                           "Give the peak current as at least the typical one");
        if (const auto spot = table.text("spot")) part.spot = spot->value;
        const auto rates = table.tables("rate", "[[part.rate]]");
        sheet_.parts.push_back(part);
        Ids rate_ids;
        for (const auto& rate : rates) read_rate(rate, part, rate_ids);
        table.finish();
    }

    int rail_index(const Found<std::string>& rail, const std::string& part) {
        for (std::size_t i = 0; i < sheet_.rails.size(); ++i)
            if (sheet_.rails[i].id == rail.value) return static_cast<int>(i);
        std::vector<std::string> names;
        for (const Rail& known : sheet_.rails)
            if (!known.id.empty()) names.push_back(known.id);
        diagnostics_.add(
            rail.place, "the rail '" + base::briefly(rail.value) + "' of " + part + " does not exist",
            names.empty() ? "Declare it under [[rail]] or leave the key out" : "The rails are " + list_briefly(names));
        return -1;
    }

    void read_rate(const Found<const toml::table*>& found, const Part& part, Ids& ids) {
        SheetTable table(*found.value, found.place, "a rate of part '" + part.id + "'", diagnostics_);
        Rate rate;
        rate.part = static_cast<int>(sheet_.parts.size()) - 1;
        if (const auto id = table.id("id")) {
            rate.id = id->value;
            rate.full_name = part.id + "." + rate.id;
            table.rename("rate '" + rate.full_name + "'");
            ids.add(*id, "rate", diagnostics_);
        } else if (!table.has("id")) {
            table.missing("id", "Add id = \"…\" under [[part.rate]]");
        }
        read_frequency(table, rate);
        read_tolerance(table, rate);
        if (const auto shape = table.word("shape", {"pulse", "square", "sine"}))
            rate.shape = static_cast<Shape>(*shape);
        read_active_in(table, rate);
        read_adjustment(table, rate);
        rate.burst_us = table.number("burst_us", positive);
        table.finish();
        sheet_.rates.push_back(std::move(rate));
    }

    void read_frequency(SheetTable& table, Rate& rate) {
        const auto hz = table.number("hz", rate_range);
        const auto low = table.number("hz_min", rate_range);
        const auto high = table.number("hz_max", rate_range);
        const bool has_low = table.has("hz_min"), has_high = table.has("hz_max");
        if (table.has("hz") && (has_low || has_high)) {
            table.complain(has_low ? "hz_min" : "hz_max",
                           table.what() + " has hz and also " + (has_low ? "hz_min" : "hz_max"),
                           "Keep hz for a rate that stands still, or hz_min and hz_max for one that wanders");
        } else if (has_low != has_high) {
            table.complain(has_low ? "hz_min" : "hz_max",
                           table.what() + " has " + (has_low ? "hz_min without hz_max" : "hz_max without hz_min"),
                           "Give both limits");
        } else if (low && high && *low >= *high) {
            table.complain("hz_min", "hz_min of " + table.what() + " is not below its hz_max",
                           "Give the lower limit as hz_min, the upper as hz_max, or one hz");
        } else if (!table.has("hz") && !has_low) {
            table.missing("frequency", "Give hz, or hz_min and hz_max for a rate that wanders");
        }
        if (hz) rate.hz = *hz;
        if (low && high) {
            rate.hz_min = *low;
            rate.hz_max = *high;
        }
    }

    void read_tolerance(SheetTable& table, Rate& rate) {
        const bool wanders = table.has("hz_min") || table.has("hz_max");
        const auto ppm = table.number("tolerance_ppm", {0.0, 500000.0, false, " ppm"});
        const auto percent = table.number("tolerance_percent", {0.0, 50.0, false, " %"});
        const bool has_ppm = table.has("tolerance_ppm"), has_percent = table.has("tolerance_percent");
        const char* key = has_ppm ? "tolerance_ppm" : "tolerance_percent";
        if (has_ppm && has_percent)
            table.complain("tolerance_percent", table.what() + " has a tolerance in ppm and one in per cent",
                           "Keep one of them");
        else if (wanders && (has_ppm || has_percent) && !table.has("hz"))
            table.complain(key, table.what() + " wanders between two limits and has a tolerance",
                           "Leave the tolerance out; widen hz_min and hz_max where needed");
        if (wanders) return;
        rate.tolerance_assumed = !has_ppm && !has_percent;
        rate.tolerance_ppm = ppm ? *ppm : percent ? *percent * 1e4 : assumed_tolerance_ppm;
    }

    void read_adjustment(SheetTable& table, Rate& rate) {
        rate.adjustable = table.flag("adjustable");
        const auto low = table.number("adjust_min_hz", rate_range);
        const auto high = table.number("adjust_max_hz", rate_range);
        for (const char* key : {"adjust_min_hz", "adjust_max_hz"}) {
            if (!table.has(key) || rate.adjustable) continue;
            table.complain(key, std::string(key) + " of " + table.what() + " without adjustable = true",
                           "Add adjustable = true, or leave the limit out");
        }
        if (rate.adjustable && (table.has("hz_min") || table.has("hz_max")))
            table.complain("adjustable", table.what() + " wanders and cannot be set",
                           "Leave adjustable out, or give the one hz that is set");
        if (low && high && *low >= *high)
            table.complain("adjust_min_hz", "adjust_min_hz of " + table.what() + " is not below its adjust_max_hz",
                           "Give the lower limit first, or leave both out");
        rate.adjust_min_hz = low.value_or(0.0);
        rate.adjust_max_hz = high.value_or(0.0);
    }

    void read_active_in(SheetTable& table, Rate& rate) {
        const auto states = table.texts("active_in");
        if (!states) return;
        if (states->empty())
            table.complain("active_in", "active_in of " + table.what() + " names no state",
                           "Leave it out for a rate that is there in every state");
        for (const auto& state : *states) {
            const int index = sheet_.state_index(state.value);
            if (index < 0)
                diagnostics_.add(
                    state.place,
                    "the state '" + base::briefly(state.value) + "' of " + table.what() + " is not in the list",
                    sheet_.states.empty() ? "List the states under [board]: states = [\"…\"]"
                                          : "The states are " + list_briefly(sheet_.states));
            else if (std::find(rate.active_in.begin(), rate.active_in.end(), index) == rate.active_in.end())
                rate.active_in.push_back(index);
        }
    }

    BoardSheet sheet_;
    std::vector<std::pair<int, Found<std::string>>> feeders_;
    Diagnostics& diagnostics_;
};

}  // namespace

BoardSheet model_of(const toml::table& root, Diagnostics& diagnostics) {
    return Reader(diagnostics).read(root);
}

}  // namespace tattletone::board
