#include "match/search/assignment.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "match/model/card_grid.h"

namespace tattletone::match {
namespace {

constexpr double agree_sds = 4.0;
constexpr int most_outside_order = 8;
constexpr int most_wandering_anchor = 6, most_family_anchor = 4;
constexpr std::size_t most_with_comb = 64;  // its own lines and tones that agree with it
constexpr std::size_t most_split = 4;       // larger groups are not rejected for one line a little off

double reach_of(const Observations& observations, const Source& source) {
    return source.tolerance + CardGrid::reach_sds * observations.parameters.card_sd_ppm * 1e-6;
}

bool is_outside(const Observations& observations, const Source& source, const LineMatch& line_match) {
    return source.kind == SourceKind::fixed &&
           std::abs(line_match.x) > reach_of(observations, source) + agree_sds * line_match.sd;
}

/// Of an expected line or a line match.
template <class Line>
board::Partner partner_of(const Line& line) {
    return board::about(line.kind).partner;
}

bool heard_there(const Observations& observations, const ObservedTone& tone, const ExpectedLine& line) {
    if (observations.settings.size() < 2) return true;
    for (std::size_t take = 0; take < tone.heard.size(); ++take)
        if (tone.heard[take] == Heard::yes && line.takes.has(take)) return true;
    return false;
}

// What a toggle plan says of the tone as this source's: of a beat or a sideband, as either rate's.
double log_trial(const Observations& observations, const Source& source, const ObservedTone& tone, int other) {
    if (tone.trial_by_part.empty()) return 0.0;
    if (source.rate < 0) return tone.trial_undeclared;
    const auto of_rate = [&](int rate) {
        return tone
            .trial_by_part[static_cast<std::size_t>(observations.sheet->rates[static_cast<std::size_t>(rate)].part)];
    };
    return other < 0 ? of_rate(source.rate) : std::max(of_rate(source.rate), of_rate(other));
}

std::vector<LineMatch> fixed_matches(const Observations& observations, const Source& source) {
    std::vector<LineMatch> line_matches;
    const double inside = reach_of(observations, source);
    const double outside = std::max(inside, 3.0 * source.prior.outside_sd);
    for (int index = 0; index < static_cast<int>(source.lines.size()); ++index) {
        const ExpectedLine& line = source.lines[static_cast<std::size_t>(index)];
        if (line.kind == board::LineKind::harmonic && line.order > board::most_order) continue;
        const double smear_hz = std::hypot(line.extra_sd_hz, line.beat_sd * line.slope_hz);
        if (smear_hz > board::about(line.kind).widest_smear_hz) continue;
        const bool far = line.kind == board::LineKind::harmonic && line.order <= most_outside_order;
        const double slope = std::abs(line.slope_hz);
        const double reach_hz = (far ? outside : inside) * slope + 5.0 * smear_hz;
        const double slack_hz = 2.0 + 0.01 * line.at_zero_hz;
        auto tone = std::lower_bound(observations.tones.begin(), observations.tones.end(),
                                     line.at_zero_hz - reach_hz - slack_hz,
                                     [](const ObservedTone& t, double hz) { return t.hz < hz; });
        for (; tone != observations.tones.end() && tone->hz <= line.at_zero_hz + reach_hz + slack_hz; ++tone) {
            if (!tone->accuses || tone->comb || !heard_there(observations, *tone, line)) continue;
            if (tone->faint && (!source.may_resonate || line.kind != board::LineKind::harmonic)) continue;
            LineMatch line_match;
            line_match.tone = static_cast<int>(tone - observations.tones.begin());
            line_match.line = index;
            line_match.kind = line.kind;
            line_match.order = line.order;
            line_match.x = (tone->hz - line.at_zero_hz) / line.slope_hz;
            line_match.sd = std::hypot(tone->sd_hz, line.extra_sd_hz, source.loose ? tone->piece_sd_hz : 0.0) / slope;
            // What a crystal changes by between two lines is a share of what is heard.
            const double share = partner_of(line) == board::Partner::equal ? line.at_zero_hz / slope : 1.0;
            line_match.sd = std::hypot(line_match.sd, share * observations.parameters.model_error_ppm * 1e-6);
            line_match.log_jacobian = -std::log(slope);
            line_match.log_trial = log_trial(observations, source, *tone, line.other);
            const double limit = far ? outside : inside;
            if (std::abs(line_match.x) <= limit + agree_sds * std::hypot(line_match.sd, line.beat_sd))
                line_matches.push_back(line_match);
        }
    }
    return line_matches;
}

std::vector<LineMatch> free_matches(const Observations& observations, const Source& source) {
    std::vector<LineMatch> line_matches;
    const MatchParameters& p = observations.parameters;
    const double error_ppm = source.neighbour == Neighbour::mains ? p.mains_change_ppm : p.model_error_ppm;
    for (int index = 0; index < static_cast<int>(observations.tones.size()); ++index) {
        const ObservedTone& tone = observations.tones[static_cast<std::size_t>(index)];
        if (!tone.accuses || tone.faint) continue;
        const double sd = std::hypot(std::hypot(tone.sd_hz, tone.piece_sd_hz) / tone.hz, error_ppm * 1e-6);
        double shift = 0.0;
        if (source.mains_heard) {
            if (tone.mains_multiple == 0 || std::abs(tone.mains_hz / source.mains_hz - 1.0) > p.mains_reach) continue;
            shift = std::log(source.mains_hz / tone.mains_hz);
        }
        for (int n = 1; n <= board::most_order; ++n) {
            LineMatch line_match;
            line_match.tone = index;
            line_match.order = n;
            line_match.x = std::log(tone.hz / n) + shift;
            line_match.sd = sd;
            line_match.log_jacobian = -std::log(tone.hz);
            line_match.log_trial = log_trial(observations, source, tone, -1);
            if (line_match.x < source.prior.low - agree_sds * line_match.sd) break;
            if (line_match.x <= source.prior.high + agree_sds * line_match.sd) line_matches.push_back(line_match);
        }
        if (source.kind != SourceKind::wandering) continue;
        for (const int halves : {1, 3}) {
            LineMatch line_match;
            line_match.tone = index;
            line_match.kind = board::LineKind::subharmonic;
            line_match.order = halves;
            line_match.x = std::log(2.0 * tone.hz / halves);
            line_match.sd = sd;
            line_match.log_jacobian = -std::log(tone.hz);
            line_match.log_trial = log_trial(observations, source, tone, -1);
            if (line_match.x >= source.prior.low && line_match.x <= source.prior.high)
                line_matches.push_back(line_match);
        }
    }
    return line_matches;
}

bool may_anchor(const Source& source, const LineMatch& line_match) {
    if (source.kind == SourceKind::wandering) return line_match.order <= most_wandering_anchor;
    if (source.neighbour == Neighbour::mains) return true;
    if (source.kind == SourceKind::family) return line_match.order <= most_family_anchor;
    return partner_of(line_match) != board::Partner::modulates;
}

/// Better claims first: harmonics before the rest, low orders before high ones.
int rank(const LineMatch& line_match) {
    return 1000 * static_cast<int>(line_match.kind) + std::abs(line_match.order);
}

bool has_carrier(const Assignment& assignment, const Source& source, const LineMatch& sideband) {
    const int carrier = source.lines[static_cast<std::size_t>(sideband.line)].carrier;
    return std::any_of(assignment.begin(), assignment.end(), [&](const LineMatch& line_match) {
        return line_match.kind == board::LineKind::harmonic && line_match.order == carrier;
    });
}

bool agree(const LineMatch& a, const LineMatch& b) {
    const double reach = agree_sds * agree_sds * (a.sd * a.sd + b.sd * b.sd);
    return (a.x - b.x) * (a.x - b.x) <= reach;
}

/// Line matches in order of x. Lines which hang on a second rate too are smeared by it, and kept apart so that the
/// search around a sharp one need not look far.
struct LineMatches {
    std::vector<LineMatch> sharp, smeared;
    double widest = 0.0;  ///< sd among the sharp ones
};

bool hangs_on_other(const LineMatch& line_match) {
    return partner_of(line_match) != board::Partner::none;
}

bool beats_with_another(const Source& source, const LineMatch& a, const LineMatch& b) {
    return partner_of(a) == board::Partner::equal && partner_of(b) == board::Partner::equal &&
           source.lines[static_cast<std::size_t>(a.line)].other != source.lines[static_cast<std::size_t>(b.line)].other;
}

Assignment around(const LineMatches& line_matches, const LineMatch& anchor, const Source& source) {
    std::vector<const LineMatch*> near;
    const double reach = agree_sds * std::hypot(anchor.sd, line_matches.widest);
    auto at = std::lower_bound(line_matches.sharp.begin(), line_matches.sharp.end(), anchor.x - reach,
                               [](const LineMatch& line_match, double x) { return line_match.x < x; });
    for (; at != line_matches.sharp.end() && at->x <= anchor.x + reach; ++at)
        if (agree(*at, anchor)) near.push_back(&*at);
    for (const LineMatch& line_match : line_matches.smeared)
        if (agree(line_match, anchor)) near.push_back(&line_match);
    std::sort(near.begin(), near.end(), [&](const LineMatch* a, const LineMatch* b) {
        if (rank(*a) != rank(*b)) return rank(*a) < rank(*b);
        return std::abs(a->x - anchor.x) < std::abs(b->x - anchor.x);
    });
    Assignment assignment{anchor};
    for (const LineMatch* line_match : near) {
        const auto clashes = [&](const LineMatch& taken) {
            return taken.tone == line_match->tone ||
                   (taken.line == line_match->line && taken.kind == line_match->kind &&
                    taken.order == line_match->order) ||
                   !agree(taken, *line_match) || beats_with_another(source, taken, *line_match);
        };
        if (std::any_of(assignment.begin(), assignment.end(), clashes)) continue;
        if (partner_of(*line_match) == board::Partner::modulates && !has_carrier(assignment, source, *line_match))
            continue;
        assignment.push_back(*line_match);
    }
    std::sort(assignment.begin(), assignment.end(),
              [](const LineMatch& a, const LineMatch& b) { return a.tone < b.tone; });
    return assignment;
}

bool worth_weighing(const Observations& observations, const Source& source, const Assignment& assignment) {
    if (source.kind == SourceKind::family) return assignment.size() >= source.fewest_tones;
    // Far outside the tolerance, one tone proves nothing unless it would be the fundamental.
    return assignment.size() >= 2 || assignment[0].order == 1 || !is_outside(observations, source, assignment[0]);
}

bool spread_out(const Assignment& assignment, const LineMatch& anchor) {
    return assignment.size() <= most_split &&
           std::any_of(assignment.begin(), assignment.end(), [&](const LineMatch& line_match) {
               return std::abs(line_match.x - anchor.x) > 2.0 * std::hypot(anchor.sd, line_match.sd);
           });
}

/// Without the tones that a assignment only happens to meet: rejected ones, and moving ones for a rate that a crystal
/// times. A assignment is weighed whole, and one of these can spoil it.
Assignment lean(const Observations& observations, const Source& source, const Assignment& assignment) {
    Assignment kept;
    for (const LineMatch& line_match : assignment) {
        const ObservedTone& tone = observations.tones[static_cast<std::size_t>(line_match.tone)];
        if (tone.of_board && (source.loose || tone.steady)) kept.push_back(line_match);
    }
    return kept;
}

/// Without the lines that lie farthest from where the others put the source.
Assignment without_strays(const Assignment& assignment) {
    constexpr double stray_sds = 2.5;
    double weight = 0.0, mean = 0.0;
    for (const LineMatch& line_match : assignment) {
        weight += 1.0 / (line_match.sd * line_match.sd);
        mean += line_match.x / (line_match.sd * line_match.sd);
    }
    mean /= weight;
    Assignment kept;
    for (const LineMatch& line_match : assignment)
        if (std::abs(line_match.x - mean) < stray_sds * line_match.sd) kept.push_back(line_match);
    return kept;
}

LineMatch comb_match(const Source& source, int index, const CombLine& line) {
    const Comb& comb = source.combs[static_cast<std::size_t>(index)];
    LineMatch line_match;
    line_match.tone = line.tone;
    if (source.kind == SourceKind::fixed) {
        ExpectedLine expected;
        expected.order = line.order;
        line_match.line = source.line_in(expected, static_cast<std::size_t>(comb.take));
    }
    line_match.order = line.order;
    line_match.x = comb.x;
    line_match.sd = comb.sd;
    line_match.comb = index;
    line_match.gain = line.gain;
    return line_match;
}

/// A comb alone, and with the tones that agree with it.
std::vector<Assignment> combs_of(const Observations& observations, const Source& source,
                                 const LineMatches& line_matches) {
    std::vector<Assignment> assignments;
    for (int index = 0; index < static_cast<int>(source.combs.size()); ++index) {
        const Comb& comb = source.combs[static_cast<std::size_t>(index)];
        Assignment alone;
        for (const CombLine& line : comb.lines) {
            const LineMatch line_match = comb_match(source, index, line);
            if (line_match.line >= 0 || source.kind != SourceKind::fixed) alone.push_back(line_match);
        }
        if (alone.size() < source.fewest_tones) continue;
        LineMatch anchor;
        anchor.x = comb.x;
        anchor.sd = comb.sd;
        Assignment all = alone;
        for (const LineMatch& line_match : line_matches.sharp) {
            if (line_match.kind != board::LineKind::harmonic || !agree(line_match, anchor) ||
                observations.tones[static_cast<std::size_t>(line_match.tone)].faint || all.size() == most_with_comb ||
                std::any_of(all.begin(), all.end(), [&](const LineMatch& taken) {
                    return taken.tone == line_match.tone || taken.order == line_match.order;
                }))
                continue;
            all.push_back(line_match);
        }
        const auto by_tone = [](const LineMatch& a, const LineMatch& b) { return a.tone < b.tone; };
        std::sort(alone.begin(), alone.end(), by_tone);
        std::sort(all.begin(), all.end(), by_tone);
        if (all.size() > alone.size()) assignments.push_back(std::move(all));
        assignments.push_back(std::move(alone));
    }
    return assignments;
}

}  // namespace

std::vector<Assignment> assignments_of(const Observations& observations, const Source& source) {
    LineMatches line_matches;
    for (const LineMatch& line_match :
         source.kind == SourceKind::fixed ? fixed_matches(observations, source) : free_matches(observations, source)) {
        (hangs_on_other(line_match) ? line_matches.smeared : line_matches.sharp).push_back(line_match);
        if (!hangs_on_other(line_match)) line_matches.widest = std::max(line_matches.widest, line_match.sd);
    }
    std::sort(line_matches.sharp.begin(), line_matches.sharp.end(),
              [](const LineMatch& a, const LineMatch& b) { return a.x != b.x ? a.x < b.x : a.tone < b.tone; });
    std::vector<Assignment> assignments;
    std::set<std::vector<std::pair<int, int>>> known;
    const auto keep = [&](Assignment assignment) {
        std::vector<std::pair<int, int>> key;
        for (const LineMatch& line_match : assignment)
            key.emplace_back(line_match.tone,
                             1000 * line_match.line + 100 * static_cast<int>(line_match.kind) + line_match.order);
        if (known.insert(key).second && worth_weighing(observations, source, assignment))
            assignments.push_back(std::move(assignment));
    };
    for (const LineMatch& anchor : line_matches.sharp) {
        if (!may_anchor(source, anchor)) continue;
        Assignment assignment = around(line_matches, anchor, source);
        if (spread_out(assignment, anchor)) keep({anchor});
        for (Assignment variant : {lean(observations, source, assignment), without_strays(assignment)})
            if (!variant.empty() && variant.size() < assignment.size()) keep(std::move(variant));
        keep(std::move(assignment));
    }
    for (const LineMatch& anchor : line_matches.smeared) {
        if (!may_anchor(source, anchor)) continue;
        keep({anchor});
        keep(around(line_matches, anchor, source));
    }
    for (Assignment& assignment : combs_of(observations, source, line_matches))
        assignments.push_back(std::move(assignment));
    return assignments;
}

}  // namespace tattletone::match
