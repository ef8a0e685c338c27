#include "logbook/units/comparison.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <set>
#include <tuple>

#include "logbook/units/heard_from.h"
#include "match/plausible.h"

namespace tattletone::logbook {
namespace {

const std::map<std::string, std::string>& columns() {
    static const std::map<std::string, std::string> names = {{"batch", "unit.batch"},
                                                             {"firmware", "measurement.firmware"},
                                                             {"revision", "sheet.revision"},
                                                             {"label", "measurement.label"}};
    return names;
}

const std::string joined =
    " FROM measurement JOIN unit ON unit.id = measurement.unit JOIN sheet ON sheet.hash = "
    "coalesce(measurement.sheet, unit.sheet) WHERE unit.retired_at IS NULL AND ";

std::string text_of(double value, int decimals) {
    char text[40];
    std::snprintf(text, sizeof text, "%.*f", decimals, value);
    return text;
}

std::string p_text(double p) {
    return p < 0.0001 ? "p under 0.0001" : "p = " + text_of(p, 4);
}

// Is one of the units that count silent on this side?
bool any_silent(const Comparison& c, bool in_a) {
    for (std::size_t i = 0; i < (in_a ? c.in_a : c.in_b).size(); ++i) {
        const GroupValue& value = (in_a ? c.in_a : c.in_b)[i];
        if (!value.known || value.whined) continue;
        const bool pair_silent = c.paired && !(in_a ? c.in_b : c.in_a)[i].whined;
        if (!pair_silent) return true;
    }
    return false;
}

// The fundamental where it is among the lines, since levels of different lines do not compare.
GroupValue value_of(Database& database, std::int64_t number, const std::string& rate, double hz, double near_hz) {
    GroupValue value;
    auto row = rate.empty() ? database.query(
                                  "SELECT level_dbfs FROM tone WHERE measurement = ? AND origin = "
                                  "'board' AND abs(hz - ?) <= 0.005 * ? ORDER BY level_dbfs DESC",
                                  number, hz, hz)
                            : database.query(
                                  "SELECT level_dbfs, abs(hz - ?3) FROM tone WHERE measurement = ?1 "
                                  "AND origin = 'board' AND rate = ?2 AND probability >= 0.5 ORDER BY 2",
                                  number, rate, near_hz);
    if (row.step()) {
        value.whined = true;
        value.level_dbfs = match::plausible_db(row.real(0));
        return value;
    }
    const auto bound = least_audible_dbfs(database, number, near_hz);
    value.known = bound.has_value();
    if (bound) value.level_dbfs = *bound;
    return value;
}

std::map<std::string, std::int64_t> newest_of(Database& database, const Group& side) {
    std::map<std::string, std::int64_t> numbers;
    const std::string sql = "SELECT measurement.unit, measurement.number" + joined + columns().at(side.key) +
                            " = ? ORDER BY measured_at, measurement.number";
    for (auto row = database.query(sql.c_str(), side.value); row.step();) numbers[row.text(0)] = row.integer(1);
    return numbers;
}

void choose_rate(Database& database, const std::vector<std::int64_t>& numbers, Comparison& comparison) {
    std::map<std::string, int> counts;
    std::map<std::string, std::map<double, int>> places;
    for (const std::int64_t number : numbers) {
        std::set<std::string> seen;
        for (auto row = database.query("SELECT rate, round(hz / 10) * 10 FROM tone WHERE measurement = ? "
                                       "AND origin = 'board' AND probability >= 0.5",
                                       number);
             row.step();) {
            if (seen.insert(row.text(0)).second) ++counts[row.text(0)];
            ++places[row.text(0)][match::plausible_hz(row.real(1))];
        }
    }
    if (comparison.rate.empty() && comparison.hz <= 0.0)
        for (const auto& [rate, count] : counts)
            if (comparison.rate.empty() || count > counts[comparison.rate]) comparison.rate = rate;
    if (comparison.rate.empty()) return;
    int most = 0;
    for (const auto& [hz, count] : places[comparison.rate])
        if (count > most) most = count, comparison.hz = hz;
}

GroupValue with_unit(Database& database, GroupValue value, std::int64_t number) {
    auto row = database.query(
        "SELECT unit.id, unit.serial, microphone, distance_cm FROM measurement JOIN "
        "unit ON unit.id = measurement.unit WHERE number = ?",
        number);
    if (row.step()) {
        value.unit = row.text(0);
        value.serial = row.text(1);
        value.microphone = row.text(2);
        value.distance_cm = row.real_or_none(3);
    }
    return value;
}

void calculate(Comparison& comparison) {
    int only_a = 0, only_b = 0;
    std::vector<double> levels_a, levels_b;
    std::set<std::string> conditions;
    const auto usable = [](const GroupValue& value) { return value.known; };
    for (const auto* side : {&comparison.in_a, &comparison.in_b}) {
        const bool first = side == &comparison.in_a;
        for (const GroupValue& value : *side) {
            conditions.insert(value.microphone + "|" + (value.distance_cm ? text_of(*value.distance_cm, 1) : ""));
            if (!usable(value)) continue;
            ++(first ? comparison.of_a : comparison.of_b);
            if (value.whined) ++(first ? comparison.whined_a : comparison.whined_b);
            if (!comparison.paired) {
                (first ? levels_a : levels_b).push_back(value.level_dbfs);
                if (!value.whined) comparison.level_is_bound = true;
            }
        }
    }
    comparison.same_conditions = conditions.size() <= 1;
    if (comparison.paired) {
        comparison.of_a = comparison.of_b = comparison.whined_a = comparison.whined_b = 0;
        for (std::size_t i = 0; i < comparison.in_a.size(); ++i) {
            const GroupValue &a = comparison.in_a[i], &b = comparison.in_b[i];
            if (!usable(a) || !usable(b)) continue;
            ++comparison.of_a, ++comparison.of_b;
            comparison.whined_a += a.whined, comparison.whined_b += b.whined;
            only_a += a.whined && !b.whined, only_b += b.whined && !a.whined;
            if (!a.whined && !b.whined) continue;
            levels_a.push_back(a.level_dbfs), levels_b.push_back(b.level_dbfs);
            if (!a.whined || !b.whined) comparison.level_is_bound = true;
        }
        comparison.p_whined = mcnemar_exact(only_a, only_b);
        comparison.least_p = mcnemar_exact(comparison.of_a, 0);
        comparison.level = paired_t(levels_a, levels_b);
        return;
    }
    comparison.p_whined = fisher_exact(comparison.whined_a, comparison.of_a - comparison.whined_a, comparison.whined_b,
                                       comparison.of_b - comparison.whined_b);
    comparison.least_p = fisher_exact(comparison.of_a, 0, 0, comparison.of_b);
    if (comparison.whined_a + comparison.whined_b > 0) comparison.level = welch_t(levels_a, levels_b);
}

}  // namespace

Result<Group> find_side(Logbook& logbook, const std::string& text) {
    Database& database = logbook.database();
    const std::size_t equals = text.find('=');
    std::vector<Group> found;
    for (const auto& [key, column] : columns()) {
        Group side{key, text};
        if (equals != std::string::npos) {
            if (text.substr(0, equals) != key) continue;
            side.value = text.substr(equals + 1);
        }
        auto row = database.query(("SELECT 1" + joined + column + " = ? LIMIT 1").c_str(), side.value);
        if (!side.value.empty() && row.step()) found.push_back(side);
    }
    if (database.failed()) return database.take_error();
    if (found.empty())
        return Error{"'" + text + "'", "no measurement has this batch, firmware, revision or label",
                     "Write KEY=VALUE, as firmware=1.2; 'tattletone unit list' shows batches and firmwares"};
    if (found.size() == 1) return found[0];
    std::string keys;
    for (const Group& side : found) keys += (keys.empty() ? "" : " or ") + side.key + "=" + text;
    return Error{"'" + text + "'", "this could mean several things", "Write " + keys};
}

Result<Comparison> compare_sides(Logbook& logbook, const Group& a, const Group& b, const std::string& rate, double hz) {
    Database& database = logbook.database();
    Comparison comparison;
    comparison.a = a;
    comparison.b = b;
    comparison.rate = rate;
    comparison.hz = hz;
    auto of_a = newest_of(database, a), of_b = newest_of(database, b);
    std::size_t common = 0;
    for (const auto& [unit, number] : of_a) common += of_b.count(unit);
    // With a single unit in common, it counts only where a side would be empty without it.
    comparison.paired = common >= 2 || (common == 1 && (of_a.size() == 1 || of_b.size() == 1));
    if (comparison.paired) {
        std::erase_if(of_a, [&](const auto& entry) { return of_b.count(entry.first) == 0; });
        std::erase_if(of_b, [&](const auto& entry) { return of_a.count(entry.first) == 0; });
    } else {
        // A unit on both sides belongs to neither.
        for (auto entry = of_a.begin(); entry != of_a.end();)
            entry = of_b.erase(entry->first) > 0 ? of_a.erase(entry) : std::next(entry);
    }
    std::vector<std::int64_t> numbers;
    for (const auto* side : {&of_a, &of_b})
        for (const auto& [unit, number] : *side) numbers.push_back(number);
    choose_rate(database, numbers, comparison);
    for (const auto* side : {&of_a, &of_b})
        for (const auto& [unit, number] : *side)
            (side == &of_a ? comparison.in_a : comparison.in_b)
                .push_back(with_unit(
                    database, value_of(database, number, comparison.rate, comparison.hz, comparison.hz), number));
    // Short serials first, so that numbers stand by their value; a pair keeps its place in both.
    for (auto* side : {&comparison.in_a, &comparison.in_b})
        std::sort(side->begin(), side->end(), [](const GroupValue& x, const GroupValue& y) {
            return std::tuple(x.serial.size(), x.serial, x.unit) < std::tuple(y.serial.size(), y.serial, y.unit);
        });
    if (database.failed()) return database.take_error();
    if (comparison.in_a.empty() || comparison.in_b.empty())
        return Error{a.value + " and " + b.value, "one side has no unit to compare",
                     "Measure units of both sides with 'examine … --log'"};
    if (comparison.rate.empty() && comparison.hz <= 0.0)
        return Error{a.value + " and " + b.value, "no unit of either side has a tone of a declared rate",
                     "Name what to compare with --rate or --tone"};
    calculate(comparison);
    return comparison;
}

std::vector<std::string> comparison_sentences(const Comparison& c) {
    std::vector<std::string> sentences;
    const auto in_words = [](const Group& side) {
        return side.key == "label" ? side.value : "in " + side.key + " " + side.value;
    };
    const std::string what = c.rate.empty() ? "the tone at " + text_of(c.hz, 0) + " Hz" : c.rate;
    sentences.push_back(std::to_string(c.whined_a) + " of " + std::to_string(c.of_a) + " whined " + in_words(c.a) +
                        ", " + std::to_string(c.whined_b) + " of " + std::to_string(c.of_b) + " " + in_words(c.b) +
                        " (" + what + ").");
    if (c.level) {
        const double fall = c.level->mean;
        const double low = fall >= 0 ? c.level->interval.low : -c.level->interval.high;
        const double high = fall >= 0 ? c.level->interval.high : -c.level->interval.low;
        // A silent unit is quieter than the level it counts at: the change is larger where only the
        // quieter side has such units.
        const bool at_least = c.level_is_bound && !any_silent(c, fall >= 0.0);
        std::string text = "The tone " + std::string(fall >= 0.0 ? "fell" : "rose") + " by " +
                           (at_least ? "at least " : "") + text_of(std::abs(fall), 1) + " dB, 95 % interval " +
                           text_of(low, 1) + " to " + text_of(high, 1) + " (" + (c.paired ? "paired t" : "Welch's t") +
                           ", " + p_text(c.level->p) + ").";
        if (low < 0.0) text += " That may be chance: the interval holds no change at all too.";
        if (c.level_is_bound)
            text += " A unit in which it was not heard counts at the level at which it would have been.";
        sentences.push_back(text);
    } else {
        sentences.push_back("Too few levels to tell by how much it changed.");
    }
    const std::string test = c.paired ? "McNemar's exact test on the same units" : "Fisher's exact test";
    const std::string p = p_text(c.p_whined) + ", " + test;
    if (c.p_whined < 0.05)
        sentences.push_back("In how many units it is heard differs more than chance would do (" + p + ").");
    else if (c.paired && c.of_a == 1)
        sentences.push_back("One unit on both sides is too few to tell whether that is more than chance (" + p + ").");
    else if (c.least_p >= 0.05)
        sentences.push_back(
            "The sample is too small to tell whether fewer units whine: so few could not "
            "reach p below " +
            text_of(c.least_p, 3) + " whatever they did (" + p + ").");
    else
        sentences.push_back("In how many units it is heard does not differ more than chance may do (" + p + ").");
    const auto share = [](int count, int of) {
        const Interval interval = wilson_interval(count, of);
        return text_of(100.0 * interval.low, 0) + " to " + text_of(100.0 * interval.high, 0) + " %";
    };
    sentences.push_back("Share of units that whine, Wilson's 95 % interval: " + share(c.whined_a, c.of_a) + " and " +
                        share(c.whined_b, c.of_b) + ".");
    if (!c.same_conditions)
        sentences.push_back(
            "Microphone or distance differ between these measurements, so the levels compare "
            "only as far as that did not matter.");
    return sentences;
}

}  // namespace tattletone::logbook
