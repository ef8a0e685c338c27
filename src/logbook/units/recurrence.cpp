#include "logbook/units/recurrence.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "match/plausible.h"

namespace tattletone::logbook {
namespace {

constexpr double clocks = 200e-6;

double median_of(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const std::size_t n = values.size();
    return n == 0 ? 0.0 : 0.5 * (values[(n - 1) / 2] + values[n / 2]);
}

void judge(RecurringTone& tone, int measured) {
    const int count = static_cast<int>(tone.units.size());
    tone.share = wilson_interval(count, measured);
    tone.level_sd_db = standard_deviation_of(tone.levels_dbfs);
    if (measured >= 3 && tone.share.low > 0.5 && 10 * count >= 9 * measured)
        tone.recurs = Recurs::in_design;
    else if (measured >= 3 && tone.share.high < 0.5)
        tone.recurs = Recurs::in_assembly;
    if (count < 5) return;
    const double median = median_of(tone.levels_dbfs);
    std::vector<double> off;
    for (const double level : tone.levels_dbfs) off.push_back(std::abs(level - median));
    const double scale = std::max(1.0, 1.4826 * median_of(off));
    for (std::size_t i = 0; i < tone.units.size(); ++i)
        if (off[i] > 3.5 * scale) tone.stand_out.push_back(tone.units[i]);
}

RecurringTone cluster_of(const std::vector<HeardTone>& tones) {
    RecurringTone cluster;
    cluster.rate = tones[0].rate;
    cluster.kind = tones[0].kind;
    cluster.other = tones[0].other;
    cluster.line = tones[0].line;
    std::map<std::size_t, double> loudest;
    std::vector<double> places;
    for (const HeardTone& tone : tones) {
        const auto [entry, is_new] = loudest.try_emplace(tone.unit, tone.level_dbfs);
        if (!is_new) entry->second = std::max(entry->second, tone.level_dbfs);
        places.push_back(tone.hz);
    }
    for (const auto& [unit, level] : loudest) {
        cluster.units.push_back(unit);
        cluster.levels_dbfs.push_back(level);
    }
    cluster.hz = median_of(places);
    cluster.low_hz = *std::min_element(places.begin(), places.end());
    cluster.high_hz = *std::max_element(places.begin(), places.end());
    return cluster;
}

}  // namespace

std::vector<RecurringTone> recurring_tones(std::vector<HeardTone> tones, int units_measured) {
    std::sort(tones.begin(), tones.end(), [](const HeardTone& a, const HeardTone& b) {
        return std::tie(a.rate, a.kind, a.line, a.other, a.hz) < std::tie(b.rate, b.kind, b.line, b.other, b.hz);
    });
    std::vector<RecurringTone> clusters;
    std::vector<HeardTone> current;
    const auto finish = [&] {
        if (current.empty()) return;
        clusters.push_back(cluster_of(current));
        judge(clusters.back(), units_measured);
        current.clear();
    };
    for (const HeardTone& tone : tones) {
        if (!current.empty()) {
            const HeardTone& last = current.back();
            bool same = std::tie(tone.rate, tone.kind, tone.line, tone.other) ==
                        std::tie(last.rate, last.kind, last.line, last.other);
            if (same && tone.rate.empty())
                same = tone.hz - last.hz <= 3.0 * std::hypot(tone.hz_sd, last.hz_sd) + clocks * tone.hz;
            if (!same) finish();
        }
        current.push_back(tone);
    }
    finish();
    std::stable_sort(clusters.begin(), clusters.end(),
                     [](const auto& a, const auto& b) { return a.units.size() > b.units.size(); });
    return clusters;
}

Result<BatchView> view_batch(Logbook& logbook, const UnitFilter& filter) {
    auto units = list_units(logbook, filter);
    if (!units) return units.error();
    BatchView view;
    view.units = std::move(*units);
    Database& database = logbook.database();
    std::vector<HeardTone> tones;
    for (std::size_t i = 0; i < view.units.size(); ++i) {
        if (view.units[i].measurements == 0) continue;
        ++view.measured;
        for (auto row =
                 database.query("SELECT hz, hz_sd, level_dbfs, probability, rate, kind, other, line FROM tone WHERE "
                                "origin = 'board' AND measurement = (SELECT number FROM measurement WHERE unit = ? "
                                "ORDER BY measured_at DESC, number DESC LIMIT 1)",
                                view.units[i].id);
             row.step();) {
            HeardTone tone{i,
                           match::plausible_hz(row.real(0)),
                           match::plausible_hz(row.real(1)),
                           match::plausible_db(row.real(2)),
                           "",
                           "",
                           "",
                           0};
            if (row.real(3) >= 0.5) {
                tone.rate = row.text(4);
                tone.kind = row.text(5);
                tone.other = row.text(6);
                tone.line = static_cast<int>(
                    match::bounded(row.real(7), -match::highest_plausible_order, match::highest_plausible_order, 0.0));
            }
            tones.push_back(std::move(tone));
        }
    }
    if (database.failed()) return database.take_error();
    view.tones = recurring_tones(std::move(tones), view.measured);
    return view;
}

}  // namespace tattletone::logbook
