#include "match/model/weigher.h"

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"
#include "match/search/gaussian_product.h"

namespace tattletone::match {
namespace {

constexpr double lowest_level_db = -6.0, level_step_db = 5.0;
constexpr double flat_above_sd = 0.003;  // priors this wide do not notice the card's error

}  // namespace

Weigher::Weigher(const Observations& observations, const Source& source, const CardGrid& grid)
    : observations_(observations), source_(source), grid_(grid) {
    const MatchParameters& p = observations_.parameters;
    scatter_db_ = std::hypot(p.line_scatter_db, observations_.level_sd_db);
    log_scatter_ = std::log(scatter_db_) + log_root_two_pi;
    double sum = 0.0;
    for (int state = 0; state < states; ++state) {
        const double z = (level_of(state) - p.level_mean_db) / p.level_sd_db;
        log_state_[state] = -0.5 * z * z;
        sum += std::exp(log_state_[state]);
    }
    for (double& value : log_state_) value -= std::log(sum);
    for (int order = 1; order <= board::most_order; ++order) {
        envelope_db_[order] = harmonic_envelope_db(p, source.shape, order);
        for (int character = 0; character < drive_characters; ++character) {
            emission_[character][order] = harmonic_emission(p, source.shape, character, order);
            log_emission_[character][order] = std::log(emission_[character][order]);
        }
    }
}

double Weigher::level_of(int state) const {
    return lowest_level_db + level_step_db * (state % levels);
}

double Weigher::emission_of(const LineMatch& line_match, int character) const {
    if (line_match.line < 0 && line_match.kind == board::LineKind::subharmonic)
        return observations_.parameters.subharmonic;
    return line_match.line >= 0 ? source_.lines[static_cast<std::size_t>(line_match.line)].emission[character]
                                : emission_[character][line_match.order];
}

double Weigher::hz_at(int line, int order, double x) const {
    if (line < 0) return order * std::exp(x);
    const ExpectedLine& at = source_.lines[static_cast<std::size_t>(line)];
    return at.at_zero_hz + at.slope_hz * x;
}

// Of one line at several settings of the rate, the one that most takes can tell: a line's presence is counted once.
bool Weigher::is_main(const ExpectedLine& line, const TakeSet& takes) const {
    if (observations_.settings.size() < 2) return true;
    const int own = line.takes.shared(takes);
    for (const ExpectedLine& other : source_.lines) {
        if (&other == &line || !other.same_line(line)) continue;
        const int count = other.takes.shared(takes);
        if (count > own || (count == own && &other < &line)) return false;
    }
    return own > 0;
}

// The lines whose absence would count, with the log probability that each is not seen, by level. A level is told
// against the mean threshold of the source's first lines (in the lowest of the takes).
Weigher::Expected Weigher::expected_at(double x, const TakeSet& takes) const {
    Expected expected;
    std::vector<Row>& rows = expected.rows;
    double& reference_db = expected.reference_db;
    std::vector<double> above, envelope;
    const auto consider = [&](int order, double hz, double envelope_db, const TakeSet& there) {
        double dbfs = 0.0;
        if (!observations_.lowest_threshold(hz, source_.loose, takes.both(there), dbfs)) return;
        rows.push_back({hz, order, {}});
        above.push_back(dbfs);
        envelope.push_back(envelope_db);
    };
    if (source_.kind == SourceKind::fixed) {
        for (const ExpectedLine& line : source_.lines)
            if (line.expected && is_main(line, takes))
                consider(line.order, line.at_zero_hz + line.slope_hz * x, line.envelope_db, line.takes);
    } else {
        const double first = std::exp(x);
        for (int n = 1; n <= board::most_order && n * first <= observations_.limits.high_hz; ++n)
            consider(n, n * first, envelope_db_[n], takes);
    }
    const bool expects = !rows.empty();
    if (!expects)
        for (const ExpectedLine& line : source_.lines) consider(0, line.at_zero_hz, line.envelope_db, line.takes);
    const auto first_lines = std::min(rows.size(), static_cast<std::size_t>(observations_.parameters.reference_lines));
    for (std::size_t i = 0; i < first_lines; ++i) reference_db += above[i] / static_cast<double>(first_lines);
    if (!expects) rows.clear();
    for (std::size_t i = 0; i < rows.size(); ++i)
        for (int state = 0; state < states; ++state) {
            const double mean_db = reference_db + level_of(state) + envelope[i];
            const double missed = quick_normal_below((above[i] - mean_db) / scatter_db_);
            rows[i].miss[state] = 1.0 - emission_[state / levels][rows[i].order] * (1.0 - missed);
        }
    return expected;
}

const Weigher::Expected& Weigher::expected_for(double x, const TakeSet& takes) const {
    if (source_.kind != SourceKind::fixed) return expected_ = expected_at(x, takes);
    for (const Cached& cached : cache_)
        if (cached.takes == takes) return cached.expected;
    cache_.push_back({takes, expected_at(0.0, takes)});
    return cache_.back().expected;
}

bool Weigher::hidden_at(double hz, std::span<const LineMatch> seen) const {
    constexpr double widest_hz = 60.0;
    auto tone = std::lower_bound(observations_.tones.begin(), observations_.tones.end(), hz - widest_hz,
                                 [](const ObservedTone& t, double at) { return t.hz < at; });
    for (; tone != observations_.tones.end() && tone->hz <= hz + widest_hz; ++tone) {
        if (std::abs(tone->hz - hz) > tone->hide_hz) continue;
        const int index = static_cast<int>(tone - observations_.tones.begin());
        if (std::none_of(seen.begin(), seen.end(),
                         [&](const LineMatch& line_match) { return line_match.tone == index; }))
            return true;
    }
    return false;
}

void Weigher::add_missing(std::span<const LineMatch> seen, std::span<const LineMatch> apart_from,
                          const std::vector<Row>& rows, double x, States& sum) const {
    States product;
    product.fill(1.0);
    for (const Row& row : rows) {
        const bool is_seen = std::any_of(seen.begin(), seen.end(), [&](const LineMatch& line_match) {
            return line_match.kind == board::LineKind::harmonic && line_match.order == row.order;
        });
        const double hz = source_.kind == SourceKind::fixed ? row.hz * (1.0 + x) : row.hz;
        if (is_seen || hidden_at(hz, apart_from)) continue;
        for (int state = 0; state < states; ++state) product[state] *= row.miss[state];
    }
    for (int state = 0; state < states; ++state) sum[state] += std::log(product[state] + 1e-300);
}

double Weigher::log_seen(const LineMatch& line_match, int state, double reference_db) const {
    const bool harmonic = line_match.kind == board::LineKind::harmonic;
    double envelope_db = observations_.parameters.subharmonic_level_db;
    if (harmonic)
        envelope_db = envelope_db_[line_match.order];
    else if (line_match.line >= 0)
        envelope_db = source_.lines[static_cast<std::size_t>(line_match.line)].envelope_db;
    const int character = state / levels;
    const double log_emission =
        harmonic ? log_emission_[character][line_match.order] : std::log(emission_of(line_match, character));
    const double level = observations_.tones[static_cast<std::size_t>(line_match.tone)].level_dbfs;
    const double z = (level - reference_db - level_of(state) - envelope_db) / scatter_db_;
    return log_emission - 0.5 * z * z - log_scatter_;
}

// A drive has a line or not, whatever the rate is set to: emission counts once.
void Weigher::add_seen(std::span<const LineMatch> seen, double reference_db, States& sum) const {
    for (std::size_t i = 0; i < seen.size(); ++i) {
        const bool again = has_twin(seen.first(i), seen[i]);
        for (int state = 0; state < states; ++state) {
            sum[state] += log_seen(seen[i], state, reference_db);
            if (again) sum[state] -= std::log(emission_of(seen[i], state / levels));
        }
    }
}

// Hidden where the rate has one value, but not where it has another: those lines are missing.
void Weigher::add_other_settings(const TakeSet& takes, double x, double reference_db, States& sum) const {
    if (observations_.settings.size() < 2) return;
    const double sings = observations_.parameters.sings_when_active;
    for (const ExpectedLine& line : source_.lines) {
        const double hz = line.at_zero_hz + line.slope_hz * x;
        double above_dbfs = 0.0, active = 0.0;
        for (std::size_t take = 0; take < source_.active.size(); ++take)
            if (line.takes.has(take)) active = std::max(active, source_.active[take]);
        if (!line.expected || line.takes.meets(takes) || hidden_at(hz, {}) ||
            !observations_.lowest_threshold(hz, source_.loose, line.takes, above_dbfs))
            continue;
        const bool hidden_before =
            std::any_of(source_.lines.begin(), source_.lines.end(), [&](const ExpectedLine& other) {
                return other.same_line(line) && other.takes.meets(takes) &&
                       hidden_at(other.at_zero_hz + other.slope_hz * x, {});
            });
        if (!hidden_before) continue;
        for (int state = 0; state < states; ++state) {
            const double mean_db = reference_db + level_of(state) + line.envelope_db;
            const double found = 1.0 - quick_normal_below((above_dbfs - mean_db) / scatter_db_);
            sum[state] += std::log(1.0 - active * sings * line.emission[state / levels] * found);
        }
    }
}

double Weigher::log_tone(const LineMatch& line_match) const {
    const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
    return line_match.log_jacobian + line_match.log_trial - tone.log_undeclared;
}

// A series that is heard from its n-th harmonic on only is the rarer, the higher n.
double Weigher::log_lowest(std::span<const LineMatch> seen) const {
    if (source_.kind == SourceKind::family) return 0.0;
    int lowest = board::most_order;
    for (const LineMatch& line_match : seen)
        lowest = std::min(lowest, board::about(line_match.kind).counts_up ? std::abs(line_match.order) : 1);
    return lowest > 2 ? -observations_.parameters.lowest_order_fall * std::log(0.5 * lowest) : 0.0;
}

// Of lines that are all beats: how the other rate's deviation smears x. Else nothing.
std::optional<double> Weigher::beat_sd(std::span<const LineMatch> line_matches) const {
    for (const LineMatch& line_match : line_matches)
        if (board::about(line_match.kind).partner != board::Partner::equal) return std::nullopt;
    return source_.lines[static_cast<std::size_t>(line_matches[0].line)].beat_sd;
}

void Weigher::spread(Weight& weight, double log_constant, std::optional<double> beat_sd) const {
    const double x_sd = std::hypot(weight.x_sd, beat_sd.value_or(0.0));
    const bool wide = std::hypot(source_.prior.sd, x_sd) > flat_above_sd && source_.prior.seen_mass <= 0.0;
    weight.flat = source_.prior.uniform || wide || beat_sd;
    if (weight.flat) {
        const double density = smeared_density(source_.prior, weight.x, x_sd, 0.0);
        weight.log_scale = density > 0.0 ? log_constant + std::log(density) : -1e9;
        weight.log_total = weight.log_scale;
        return;
    }
    // The hump within the tolerance, node by node; far from it only the mass outside is left.
    const double reach = source_.tolerance + 7.0 * weight.x_sd + 2.0 * grid_.step;
    const double far = source_.prior.outside_mass * outside_density(source_.prior, weight.x, weight.x_sd);
    weight.first = 0;
    weight.shape.assign(CardGrid::nodes, far);
    double top = far, total = 0.0;
    const SmearedPrior smeared(source_.prior, weight.x, weight.x_sd);
    const bool seen = source_.prior.seen_mass > 0.0;
    for (std::size_t node = 0; node < CardGrid::nodes; ++node) {
        if (seen)
            weight.shape[node] = smeared_density(source_.prior, weight.x, weight.x_sd, grid_.at(node));
        else if (std::abs(weight.x - grid_.at(node)) < reach)
            weight.shape[node] = smeared.quick_density(grid_.at(node));
        top = std::max(top, weight.shape[node]);
        total += grid_.weight[node] * weight.shape[node];
    }
    if (!(top > 0.0) || !(total > 0.0)) return;
    for (double& value : weight.shape) value /= top;
    weight.log_scale = log_constant + std::log(top);
    weight.log_total = log_constant + std::log(total);
}

double Weigher::log_constant_of(std::span<const LineMatch> seen, double x) const {
    const TakeSet takes = heard_in(seen);
    const auto& [rows, reference_db] = expected_for(x, takes);
    States sum = log_state_;
    add_missing(seen, seen, rows, x, sum);
    add_seen(seen, reference_db, sum);
    const double log_levels = log_sum(sum);
    double log_constant = source_.log_prior_odds + log_levels + log_presence(seen, takes, x) + log_movement(seen) +
                          log_paths(seen) + log_lowest(seen) + log_spot(seen) + log_falls(seen);
    for (const LineMatch& line_match : seen) log_constant += log_tone(line_match);
    return log_constant;
}

Weight Weigher::weigh(std::span<const LineMatch> seen) const {
    if (has_comb(seen)) return weigh_comb(seen);
    const GaussianProduct product = gaussian_product(seen, true);
    Weight weight;
    weight.x = product.mean;
    weight.x_sd = product.sd;
    spread(weight, log_constant_of(seen, product.mean) + product.log_constant, beat_sd(seen));
    return weight;
}

Weight Weigher::weigh_hidden(std::span<const LineMatch> hidden) const {
    std::vector<LineMatch> windows(hidden.begin(), hidden.end());
    for (LineMatch& line_match : windows) {
        const ObservedTone& tone = observations_.tones[static_cast<std::size_t>(line_match.tone)];
        const double per_hz = std::exp(line_match.log_jacobian);
        line_match.sd = std::hypot(line_match.sd, 0.5 * tone.hide_hz * per_hz);
    }
    const GaussianProduct product = gaussian_product(windows, false);
    const TakeSet takes = heard_in(hidden);
    const auto& [rows, reference_db] = expected_for(product.mean, takes);
    States sum = log_state_;
    add_missing({}, {}, rows, product.mean, sum);
    add_other_settings(takes, product.mean, reference_db, sum);
    double active = 0.0;
    const double log_levels = log_sum(sum);
    for (std::size_t take = 0; take < source_.active.size(); ++take)
        if (takes.has(take)) active = std::max(active, source_.active[take]);
    // One of the lines must be there for the rate to be heard at all.
    double none = 1.0;
    for (const LineMatch& line_match : hidden)
        none *= 1.0 - std::max(emission_of(line_match, 0), emission_of(line_match, 1));
    Weight weight;
    weight.x = product.mean;
    weight.x_sd = product.sd;
    spread(weight,
           source_.log_prior_odds + log_levels + product.log_constant + std::log(1.0 - none) +
               std::log(active + (1.0 - active) * observations_.parameters.state_error),
           beat_sd(hidden));
    return weight;
}

}  // namespace tattletone::match
