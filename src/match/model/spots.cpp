#include "match/model/spots.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>
#include <numbers>

#include "base/text/lower_case.h"

namespace tattletone::match {
namespace {

constexpr double counts_from_sds = 2.0;

double level_of(const SpotLevel& spot) {
    return spot.heard ? spot.level_dbfs : spot.below_dbfs;
}

}  // namespace

double level_sd_db(double level_dbfs, double noise_dbfs_per_hz, double seconds) {
    const double snr = std::pow(10.0, 0.1 * (level_dbfs - noise_dbfs_per_hz)) * seconds;
    return snr > 0.0 ? 20.0 / std::numbers::ln10 / std::sqrt(2.0 * snr) : 0.0;
}

bool same_spot(const std::string& a, const std::string& b) {
    return base::lower_case(a) == base::lower_case(b);
}

SpotComparison compare_spots(const tones::UnitTones& unit, const tones::UnitTone& tone, double take_scatter_db) {
    struct Sum {
        int heard = 0, silent = 0;
        double level = 0.0, noise_variance = 0.0, below = 0.0;
    };
    std::vector<std::pair<std::string, Sum>> sums;
    for (const tones::HeardIn& in : tone.heard_in) {
        const tones::Take& take = unit.takes[static_cast<std::size_t>(in.take)];
        if (take.spot.empty()) continue;
        auto at = std::find_if(sums.begin(), sums.end(),
                               [&](const auto& known) { return same_spot(known.first, take.spot); });
        if (at == sums.end()) at = sums.insert(at, {take.spot, {}});
        Sum& sum = at->second;
        if (!in.heard) {
            sum.below = sum.silent++ == 0 ? in.below_dbfs : std::min(sum.below, in.below_dbfs);
            continue;
        }
        ++sum.heard;
        sum.level += in.level_dbfs;
        if (take.found.floor.empty()) continue;
        const double noise = tones::floor_at(take.found, tone.tone.hz).noise_dbfs_per_hz;
        sum.noise_variance += std::pow(level_sd_db(in.level_dbfs, noise, take.found.seconds), 2);
    }
    SpotComparison comparison;
    if (sums.size() < 2) return comparison;
    for (const auto& [name, sum] : sums) {
        SpotLevel level;
        level.spot = name;
        level.heard = sum.heard > 0;
        const double count = std::max(sum.heard, 1);
        level.level_dbfs = sum.level / count;
        level.level_sd_db = std::sqrt(sum.noise_variance / (count * count) + take_scatter_db * take_scatter_db / count);
        level.below_dbfs = sum.below;
        comparison.levels.push_back(level);
    }
    std::stable_sort(comparison.levels.begin(), comparison.levels.end(), [](const SpotLevel& a, const SpotLevel& b) {
        return a.heard != b.heard ? a.heard : level_of(a) > level_of(b);
    });
    const SpotLevel &first = comparison.levels[0], &second = comparison.levels[1];
    comparison.difference_db = level_of(first) - level_of(second);
    comparison.difference_sd_db = std::hypot(first.level_sd_db, second.level_sd_db);
    comparison.counts = first.heard && comparison.difference_db > counts_from_sds * comparison.difference_sd_db;
    return comparison;
}

double spot_odds_factor(const std::string& part_spot, const SpotComparison& comparison, const MatchParameters& p) {
    double own = 0.0, others = 0.0;
    int own_count = 0, other_count = 0;
    for (const SpotLevel& level : comparison.levels) {
        const bool is_own = same_spot(level.spot, part_spot);
        (is_own ? own : others) += level_of(level);
        ++(is_own ? own_count : other_count);
    }
    if (own_count == 0 || other_count == 0) return 1.0;
    const double over_db = own / own_count - others / other_count;
    const double nearer_db = p.nearer_spot_db;
    const double between_spots_db = p.spot_scatter_db * std::numbers::sqrt2;
    const double log_factor =
        (nearer_db * over_db - 0.5 * nearer_db * nearer_db) / (between_spots_db * between_spots_db);
    return std::clamp(std::exp(log_factor), 1.0 / p.spot_factor_limit, p.spot_factor_limit);
}

}  // namespace tattletone::match
