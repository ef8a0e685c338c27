#include "match/explain/distance_reasons.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "match/far_fall.h"

namespace tattletone::match {
namespace {

using Say = std::function<void(std::string, bool)>;

constexpr double fall_told = 2.0;   // ln of odds
constexpr double swing_told = 1.0;  // ln of odds

/// "22 to 27 dB" of falls by so much.
std::string span_words(double least_db, double most_db) {
    char text[48];
    if (std::lround(least_db) == std::lround(most_db))
        std::snprintf(text, sizeof text, "%ld dB", std::lround(least_db));
    else
        std::snprintf(text, sizeof text, "%ld to %ld dB", std::lround(least_db), std::lround(most_db));
    return text;
}

/// By what its lines fell when the microphone moved away, where that tells.
void tell_fall(const Observations& observations, const tones::UnitTones& unit, const Assignment& best, const Say& say) {
    std::vector<const FarEvidence*> evidence;
    double least_db = 1e9, most_db = -1e9, at_least_db = 0.0;
    std::size_t heard = 0;
    for (const LineMatch& line_match : best) {
        const auto& told = unit.tones[static_cast<std::size_t>(line_match.tone)].far_fall;
        const FarEvidence* const of_tone =
            observations.fall_of(observations.tones[static_cast<std::size_t>(line_match.tone)]);
        if (!told || !of_tone) continue;
        evidence.push_back(of_tone);
        if (told->heard) {
            ++heard;
            least_db = std::min(least_db, told->db);
            most_db = std::max(most_db, told->db);
        } else {
            at_least_db = std::max(at_least_db, told->db);
        }
    }
    if (evidence.empty()) return;
    const double log_ratio = log_fall(evidence, 0.0) - log_fall(evidence, 1.0);
    const bool one = evidence.size() == 1;
    const std::string whose = one ? "its line " : "its lines ", it = one ? "it comes" : "they come";
    const std::string moved = " when the microphone moved from 3 to 60 cm";
    if (log_ratio < -fall_told)
        say(whose + "did not fall as a board's do" + moved + " (by " + span_words(least_db, most_db) +
                ", not some 24 dB): " + it + " from the room",
            true);
    else if (log_ratio > fall_told && heard > 0)
        say(whose + "fell by " + span_words(least_db, most_db) + moved + ": " + it + " from the board", false);
    else if (heard == 0 && far_says({false, at_least_db, 0.0, 1}, observations.parameters) == FarSays::board)
        say(whose + (one ? "is" : "are") + " not heard at 60 cm, having fallen by at least " +
                span_words(at_least_db, at_least_db) + ": " + it + " from the board",
            false);
}

/// How the level of its clearest moving line swings, where that tells near from far.
void tell_swing(const Observations& observations, const tones::UnitTones& unit, const Assignment& best,
                const Say& say) {
    const tones::UnitTone* clearest = nullptr;
    for (const LineMatch& line_match : best) {
        const tones::UnitTone& one = unit.tones[static_cast<std::size_t>(line_match.tone)];
        if (one.swing && (!clearest || one.tone.tone_to_noise_db > clearest->tone.tone_to_noise_db)) clearest = &one;
    }
    if (!clearest) return;
    const double log_ratio = log_swing_near(*clearest->swing, observations.parameters) -
                             log_swing_afar(*clearest->swing, observations.parameters);
    char db[16];
    std::snprintf(db, sizeof db, "%.1f dB", std::max(clearest->swing->db, 0.1));
    if (log_ratio > swing_told)
        say("its level is even while its frequency moves (within " + std::string(db) +
                "), so it sounds near the microphone",
            false);
    else if (log_ratio < -swing_told)
        say("its level swings by " + std::string(db) +
                " while its frequency moves, as sound does that comes across a room",
            true);
}

}  // namespace

void tell_distance(const Observations& observations, const tones::UnitTones& unit, const Assignment& best,
                   const Say& say) {
    tell_fall(observations, unit, best, say);
    tell_swing(observations, unit, best, say);
}

}  // namespace tattletone::match
