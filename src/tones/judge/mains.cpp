#include "tones/judge/mains.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace tattletone::tones {
namespace {

struct Family {
    double hz = 0.0, hz_sd = 0.0;
    std::vector<std::size_t> members;
    int lowest = 0;
};

bool taken(const Tone& tone) {
    return tone.origin == Origin::room || tone.origin == Origin::mains;
}

bool telling_multiple(int n) {
    return n == 1 || n == 2 || n == 3 || n == 4 || n == 6;
}

// How far a tone may stand from the k-th multiple. A recording's mean of a wandering grid is the same for all
// multiples but for when they are heard.
double slack_hz(const Tone& tone, double k, double base_sd_hz, const RejectionLimits& limits) {
    return limits.mains_sds * std::hypot(k * base_sd_hz, tone.hz_sd, 1e-4 * k);
}

// Members of the family of which `seed` is the n-th multiple, the estimate growing sharper as
// higher members join.
Family grow(const std::vector<Tone>& tones, std::size_t seed, int n, const RejectionLimits& limits) {
    Family family;
    family.hz = tones[seed].hz / n;
    family.hz_sd = std::max(tones[seed].hz_sd, 0.002) / n;
    family.lowest = n;
    family.members.push_back(seed);
    for (std::size_t i = 0; i < tones.size(); ++i) {
        if (i == seed || taken(tones[i])) continue;
        const int k = static_cast<int>(std::lround(tones[i].hz / family.hz));
        if (k < 1 || k > limits.mains_multiple) continue;
        if (std::abs(tones[i].hz - k * family.hz) > slack_hz(tones[i], k, family.hz_sd, limits) + tones[i].wander_hz)
            continue;
        family.members.push_back(i);
        family.lowest = std::min(family.lowest, k);
        const double own_sd = std::max(tones[i].hz_sd, 1e-4 * k) / k;
        const double w = 1.0 / (own_sd * own_sd), before = 1.0 / (family.hz_sd * family.hz_sd);
        family.hz = (before * family.hz + w * tones[i].hz / k) / (before + w);
        family.hz_sd = 1.0 / std::sqrt(before + w);
    }
    return family;
}

// Which multiple each tone would be, however high. One that wanders is no multiple for it: among high ones that would
// take in any line.
void count_multiples(std::vector<Tone>& tones, const Family& family, const RejectionLimits& limits) {
    for (Tone& tone : tones) {
        const double k = std::round(tone.hz / family.hz);
        if (k < 1.0 || std::abs(tone.hz - k * family.hz) > slack_hz(tone, k, family.hz_sd, limits)) continue;
        tone.mains_multiple = static_cast<int>(k);
        tone.mains_hz = family.hz;
    }
}

}  // namespace

void mark_mains(std::vector<Tone>& tones, const RejectionLimits& limits) {
    // A recording has one mains: the family of more lines, the louder of two lone ones.
    Family best;
    double loudest_dbfs = 0.0;
    for (const double nominal : {50.0, 60.0}) {
        for (std::size_t i = 0; i < tones.size(); ++i) {
            if (taken(tones[i]) || tones[i].hz > limits.mains_first_multiples * nominal) continue;
            const int n = static_cast<int>(std::lround(tones[i].hz / nominal));
            if (n < 1 || std::abs(tones[i].hz / n / nominal - 1.0) > limits.mains_share) continue;
            Family family = grow(tones, i, n, limits);
            if (family.members.size() == 1 && !telling_multiple(family.lowest)) continue;
            double level_dbfs = -1e9;
            for (const std::size_t member : family.members) level_dbfs = std::max(level_dbfs, tones[member].level_dbfs);
            if (family.members.size() < best.members.size() ||
                (family.members.size() == best.members.size() && level_dbfs <= loudest_dbfs))
                continue;
            best = std::move(family);
            loudest_dbfs = level_dbfs;
        }
    }
    if (best.members.empty()) return;
    count_multiples(tones, best, limits);
    for (const std::size_t i : best.members) {
        char text[96];
        std::snprintf(text, sizeof text, "multiple %ld of the mains at %.3f Hz", std::lround(tones[i].hz / best.hz),
                      best.hz);
        tones[i].origin = Origin::mains;
        tones[i].rejection = text;
    }
}

bool on_mains_grid(const std::vector<Tone>& tones, double hz, double hz_sd, const RejectionLimits& limits) {
    for (const double nominal : {50.0, 60.0}) {
        double base = 0.0, least_sd = 1.0;
        for (const Tone& tone : tones) {
            const double n = std::round(tone.hz / nominal);
            if (tone.origin != Origin::mains || n < 1.0 || std::abs(tone.hz / n / nominal - 1.0) > limits.mains_share)
                continue;
            const double sd = std::max(tone.hz_sd, 1e-4 * n) / n;
            if (sd < least_sd) base = tone.hz / n, least_sd = sd;
        }
        if (base <= 0.0) continue;
        const double k = std::round(hz / base);
        const double slack = 4.0 * std::hypot(hz_sd, k * least_sd, limits.faint_mains_hz * k);
        if (k >= 1.0 && k <= limits.faint_mains_multiple && std::abs(hz - k * base) < slack) return true;
    }
    return false;
}

bool in_mains_comb(const std::vector<Tone>& tones, double hz, double hz_sd, const RejectionLimits& limits) {
    for (const double grid_hz : {50.0, 60.0}) {
        const auto teeth = std::count_if(tones.begin(), tones.end(), [&](const Tone& tone) {
            const double distance = std::abs(tone.hz - hz), order = std::round(distance / grid_hz);
            return distance < limits.faint_comb_reach_hz && order >= 1.0 &&
                   std::abs(distance - order * grid_hz) < 2e-4 * distance + 3.0 * std::hypot(tone.hz_sd, hz_sd);
        });
        if (teeth >= limits.mains_sidebands) return true;
    }
    return false;
}

void reject_mains_sidebands(std::vector<Tone>& tones, const RejectionLimits& limits) {
    for (const double grid_hz : {50.0, 60.0}) {
        for (std::size_t carrier = 0; carrier < tones.size(); ++carrier) {
            if (tones[carrier].hz < limits.mains_carrier_hz || !tones[carrier].steady) continue;
            std::vector<std::size_t> members;
            for (std::size_t i = 0; i < tones.size(); ++i) {
                const double distance = std::abs(tones[i].hz - tones[carrier].hz);
                const double order = std::round(distance / grid_hz);
                if (order < 1.0 || order > limits.mains_multiple ||
                    tones[i].level_dbfs > tones[carrier].level_dbfs - limits.mains_sideband_db)
                    continue;
                const double slack =
                    limits.mains_sideband_slack * distance + 4.0 * std::hypot(tones[i].hz_sd, tones[carrier].hz_sd);
                if (std::abs(distance - order * grid_hz) < slack) members.push_back(i);
            }
            if (members.size() < static_cast<std::size_t>(limits.mains_sidebands)) continue;
            for (const std::size_t i : members) {
                if (tones[i].origin != Origin::board) continue;
                char text[96];
                std::snprintf(text, sizeof text, "a sideband at multiples of %.0f Hz of the stronger line at %.1f Hz",
                              grid_hz, tones[carrier].hz);
                tones[i].origin = Origin::unsure;
                tones[i].rejection = text;
            }
        }
    }
}

}  // namespace tattletone::tones
