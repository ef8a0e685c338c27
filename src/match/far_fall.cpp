#include "match/far_fall.h"

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"

namespace tattletone::match {
namespace {

constexpr double node_step = 0.8;  // standard deviations
constexpr double ten_to_one = 10.0;

double node_at(std::size_t node) {
    return node_step * (static_cast<double>(node) - 0.5 * (FarEvidence::nodes - 1));
}

const std::array<double, FarEvidence::nodes>& log_node_weights() {
    static const auto weights = [] {
        std::array<double, FarEvidence::nodes> log_weights{};
        double sum = 0.0;
        for (std::size_t node = 0; node < FarEvidence::nodes; ++node) {
            log_weights[node] = -0.5 * node_at(node) * node_at(node);
            sum += std::exp(log_weights[node]);
        }
        for (double& weight : log_weights) weight -= std::log(sum);
        return log_weights;
    }();
    return weights;
}

double log_mean(const std::array<double, FarEvidence::nodes>& log_values) {
    double sum = -1e300;
    for (std::size_t node = 0; node < FarEvidence::nodes; ++node)
        sum = log_add(sum, log_node_weights()[node] + log_values[node]);
    return sum;
}

double log_mixed(double log_board, double log_room, double room_share) {
    return log_add(std::log(1.0 - room_share) + log_board, std::log(room_share) + log_room);
}

/// ln of the density of what was heard, or of the probability to fall by that much or more.
double log_fell(const tones::FarFall& fall, double mean_db, double sd_db) {
    if (fall.heard) return log_normal_density(fall.db, mean_db, std::hypot(sd_db, fall.sd_db));
    return std::log(std::max(1e-12, 1.0 - normal_below((fall.db - mean_db) / sd_db)));
}

/// ln of the density of ln(swing) about ln(`middle_db`), what so few places leave unsure of it included.
double log_swing(const tones::LevelSwing& swing, double middle_db, double spread) {
    constexpr double least_db = 0.03;
    const double sd = std::hypot(spread, 1.0 / std::sqrt(2.0 * std::max(1.0, swing.places - 1.0)));
    return log_normal_density(std::log(std::max(least_db, swing.db)), std::log(middle_db), sd);
}

FarEvidence fall_evidence(const tones::FarFall& fall, const MatchParameters& p) {
    FarEvidence evidence;
    for (std::size_t node = 0; node < FarEvidence::nodes; ++node) {
        evidence.log_board[node] =
            log_fell(fall, p.far_board_fall_db + node_at(node) * p.far_distance_sd_db, p.far_line_sd_db);
        evidence.log_room[node] = log_fell(fall, node_at(node) * p.far_room_distance_sd_db, p.far_room_line_sd_db);
        // What is of the room may have ended by itself.
        if (!fall.heard)
            evidence.log_room[node] =
                log_add(std::log(1.0 - p.background_in_take), std::log(p.background_in_take) + evidence.log_room[node]);
    }
    // The far take is no take: what is missing there speaks against nobody.
    if (!fall.heard)
        for (double& board : evidence.log_board) board = std::max(board, log_mean(evidence.log_room));
    return evidence;
}

}  // namespace

double FarEvidence::log_most() const {
    return std::max(*std::max_element(log_board.begin(), log_board.end()),
                    *std::max_element(log_room.begin(), log_room.end()));
}

double log_swing_near(const tones::LevelSwing& swing, const MatchParameters& p) {
    return log_mixed(log_swing(swing, p.swing_near_db, p.swing_near_spread),
                     log_swing(swing, p.swing_held_db, p.swing_held_spread), p.swing_held_share);
}

double log_swing_afar(const tones::LevelSwing& swing, const MatchParameters& p) {
    return log_mixed(log_swing(swing, p.swing_far_db, p.swing_far_spread), log_swing_near(swing, p),
                     p.swing_far_near_share);
}

FarEvidence far_evidence(const tones::UnitTone& tone, double swing_weight, const MatchParameters& p) {
    FarEvidence evidence;
    if (tone.far_fall) evidence = fall_evidence(*tone.far_fall, p);
    if (tone.swing) {
        for (double& board : evidence.log_board) board += swing_weight * log_swing_near(*tone.swing, p);
        for (double& room : evidence.log_room) room += swing_weight * log_swing_afar(*tone.swing, p);
    }
    evidence.log_stray = log_mixed(log_mean(evidence.log_board), log_mean(evidence.log_room), 1.0 - p.far_beside);
    return evidence;
}

double log_fall(std::span<const FarEvidence* const> tones, double room_share) {
    if (tones.empty()) return 0.0;
    std::array<double, FarEvidence::nodes> board{}, room{};
    for (const FarEvidence* tone : tones)
        for (std::size_t node = 0; node < FarEvidence::nodes; ++node) {
            board[node] += tone->log_board[node];
            room[node] += tone->log_room[node];
        }
    return log_mixed(log_mean(board), log_mean(room), room_share);
}

FarSays far_says(const tones::FarFall& fall, const MatchParameters& p) {
    const double board = log_fell(fall, p.far_board_fall_db, std::hypot(p.far_distance_sd_db, p.far_line_sd_db));
    const double room = log_fell(fall, 0.0, std::hypot(p.far_room_distance_sd_db, p.far_room_line_sd_db));
    if (board > room + std::log(ten_to_one)) return FarSays::board;
    return fall.heard && room > board + std::log(ten_to_one) ? FarSays::room : FarSays::nothing;
}

bool stayed_where_it_was(const tones::UnitTones& unit, const MatchParameters& p) {
    double log_odds = std::log(p.far_unmoved / (1.0 - p.far_unmoved));
    for (const tones::UnitTone& tone : unit.tones) {
        if (!tone.far_fall) continue;
        const tones::FarFall& fall = *tone.far_fall;
        const FarEvidence evidence = fall_evidence(fall, p);
        // One that is not heard any more may have ended by itself, whatever the microphone did.
        const double still =
            fall.heard ? log_fell(fall, 0.0, p.far_unmoved_sd_db) : std::log(1.0 - p.background_in_take);
        log_odds += still - log_mixed(log_mean(evidence.log_board), log_mean(evidence.log_room), 0.5);
    }
    return log_odds > 0.0;
}

}  // namespace tattletone::match
