#include "match/comb/comb_places.h"

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"
#include "tones/detect/fine_spectrum.h"

namespace tattletone::match {
namespace {

// Lines nearer than this to each other, in what the recording resolves, are no comb.
constexpr double least_spacing = 12.0;
// Beyond, the model itself is what errs.
constexpr double most_log_ratio = 60.0;
constexpr int fewest_lines = 3;
constexpr int peak_reach = 4;  // places on each side of the best that are summed
// Steps by which a comb is moved to see whether what is beside its lines would speak for it as well.
constexpr int beside_steps[] = {8, 10, 12};
constexpr std::size_t most_comb_lines = 32;

}  // namespace

CombPlaces::CombPlaces(const Observations& observations, const Source& source, const std::vector<CombScore>& scores,
                       const std::vector<const tones::Tones*>& found, const Orders& orders)
    : observations_(observations), source_(source), scores_(scores), found_(found), orders_(orders) {
    const MatchParameters& p = observations.parameters;
    const double sings = source.kind == SourceKind::family ? p.family_in_take : p.sings_when_active;
    for (const double active : source.active) {
        in_.heard.push_back(active * sings + (1.0 - active) * p.state_error);
        in_.log_never += std::log(1.0 - in_.heard.back());
        in_.log_never_where_it_runs += std::log(1.0 - sings);
    }
    fundamental_.logarithmic = source.kind != SourceKind::fixed;
    for (std::size_t take = 0; take < scores.size(); ++take)
        fundamental_.hz.push_back(
            source.rate >= 0 ? observations.setting_of(take).sheet.rates[static_cast<std::size_t>(source.rate)].hz
                             : 0.0);
}

std::optional<Comb> CombPlaces::best(double low, double high) const {
    const double dx = step_of(0.5 * (low + high));
    if (!(dx > 0.0)) return std::nullopt;
    const auto places = static_cast<std::size_t>((high - low) / dx) + 1;
    double most = -1e300, x = low;
    for (std::size_t i = 0; i < places; ++i) {
        const double at = low + dx * static_cast<double>(i);
        const double value = log_ratio(at, true) + log_prior(at);
        if (value > most) most = value, x = at;
    }
    if (most + std::log(dx) < -4.0) return std::nullopt;
    return comb_at(x, dx);
}

std::optional<Comb> CombPlaces::comb_at(double x, double dx) const {
    double values[2 * peak_reach + 1], top = -1e300, total = 0.0, mean = 0.0, square = 0.0;
    for (int i = -peak_reach; i <= peak_reach; ++i) {
        values[i + peak_reach] = log_ratio(x + i * dx, false);
        top = std::max(top, values[i + peak_reach]);
    }
    for (int i = -peak_reach; i <= peak_reach; ++i) {
        const double weight = std::exp(values[i + peak_reach] - top);
        total += weight;
        mean += weight * i;
        square += weight * i * i;
    }
    mean /= total;
    Comb comb;
    comb.rate = source_.rate;
    comb.x = x + mean * dx;
    comb.sd = dx * std::sqrt(std::max(square / total - mean * mean, 0.0) + 1.0 / 12.0);
    comb.log_ratio = top;
    comb.take = static_cast<int>(told_take(comb.x));
    comb.base = std::min(top - std::max(0.0, log_beside(comb.x)), most_log_ratio) + std::log(total * dx);
    add_lines(comb);
    if (comb.counted < fewest_lines) return std::nullopt;
    return comb;
}

double CombPlaces::step_of(double x) const {
    double finest = 0.0;
    for (std::size_t take = 0; take < scores_.size(); ++take) {
        if (!scores_[take].can_tell()) continue;
        const double hz = fundamental_.at(take, x);
        if (hz < least_spacing * 2.0 * scores_[take].step_hz()) continue;
        const double highest = std::min(scores_[take].high_hz(), hz * orders_.last);
        const double dx = spread_ > 0.0 ? 0.5 * spread_ : scores_[take].step_hz() / highest;
        if (finest == 0.0 || dx < finest) finest = dx;
    }
    return finest;
}

double CombPlaces::log_prior(double x) const {
    const DeviationPrior& prior = source_.prior;
    if (prior.uniform) return x < prior.low || x > prior.high ? -1e9 : 0.0;
    return log_normal_density(x, 0.0, std::hypot(prior.sd, observations_.parameters.card_sd_ppm * 1e-6));
}

double CombPlaces::in_take(std::size_t take, double x, bool quick, double moved_hz) const {
    const double hz = fundamental_.at(take, x);
    if (spread_ > 0.0) {
        const SpreadScore& score = (*spread_scores_)[take];
        return quick ? score.quick_log_ratio(hz, orders_, spread_) : score.log_ratio(hz, orders_, spread_);
    }
    return quick ? scores_[take].quick_log_ratio(hz, orders_) : scores_[take].log_ratio(hz, orders_, moved_hz);
}

double CombPlaces::log_ratio(double x, bool quick) const {
    double sum = 0.0;
    for (std::size_t take = 0; take < scores_.size(); ++take) {
        if (!scores_[take].can_tell()) continue;
        const double heard = in_.heard[take];
        sum += log_add(std::log(1.0 - heard), std::log(heard) + in_take(take, x, quick));
    }
    // A rate that sings is heard in one take at least.
    const double never = in_.log_never;
    if (sum <= never + 1e-12) return -1e9;
    return sum + std::log1p(-std::exp(never - sum)) - std::log1p(-std::exp(in_.log_never_where_it_runs));
}

std::size_t CombPlaces::told_take(double x) const {
    std::size_t best = 0;
    double most = -1e300;
    for (std::size_t take = 0; take < scores_.size(); ++take) {
        if (!scores_[take].can_tell()) continue;
        const double value = in_take(take, x, false) + std::log(in_.heard[take]);
        if (value > most) most = value, best = take;
    }
    return best;
}

double CombPlaces::log_beside(double x) const {
    const std::size_t take = told_take(x);
    double sum = 0.0;
    int count = 0;
    if (spread_ > 0.0) {
        for (const double widths : {-5.0, -3.0, 3.0, 5.0})
            sum += std::exp(std::min(300.0, in_take(take, x + widths * spread_, false)));
        return std::log(0.25 * sum + 1e-300);
    }
    for (const int steps : beside_steps)
        for (const int sign : {-1, 1}) {
            sum += std::exp(std::min(300.0, in_take(take, x, false, sign * steps * scores_[take].step_hz())));
            ++count;
        }
    return std::log(sum / count + 1e-300);
}

void CombPlaces::add_lines(Comb& comb) const {
    const CombScore& score = scores_[static_cast<std::size_t>(comb.take)];
    const double hz = fundamental_.at(static_cast<std::size_t>(comb.take), comb.x);
    auto lines = spread_ > 0.0 ? (*spread_scores_)[static_cast<std::size_t>(comb.take)].lines(hz, orders_, spread_)
                               : score.lines(hz, orders_);
    comb.counted = static_cast<int>(lines.size());
    if (!lines.empty()) comb.low_hz = lines.front().hz, comb.high_hz = lines.back().hz;
    for (const CombScore::Line& line : lines) comb.mean_snr += (line.power - 1.0) / comb.counted;
    std::sort(lines.begin(), lines.end(),
              [](const CombScore::Line& a, const CombScore::Line& b) { return a.gain > b.gain; });
    const tones::Tones& found = *found_[static_cast<std::size_t>(comb.take)];
    for (const CombScore::Line& line : lines) {
        if (comb.lines.size() == most_comb_lines || line.gain <= 0.0) break;
        CombLine told;
        told.order = line.order;
        told.hz = line.hz;
        told.hz_sd = std::max(comb.sd * line.hz / (fundamental_.logarithmic ? 1.0 : 1.0 + comb.x),
                              std::max(0.3 * score.step_hz(), 0.25 * spread_ * line.hz));
        told.gain = line.gain;
        told.level_dbfs = tones::floor_at(found, line.hz).noise_dbfs_per_hz +
                          10.0 * std::log10(std::max(line.power - 1.0, 0.3) / score.seconds());
        comb.base -= told.gain;
        comb.lines.push_back(told);
    }
}

}  // namespace tattletone::match
