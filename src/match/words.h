#pragma once

#include <array>
#include <string>

#include "base/text/word_table.h"
#include "match/findings.h"

namespace tattletone::match {

/// The words of the enums that findings hold, those of `board::line_kinds` apart: what the JSON and the logbook write
/// and read, and what reports print. A stored word lives as long as somebody's logbook: never change one.
inline constexpr auto origin_words = std::to_array<base::Word<tones::Origin>>({
    {tones::Origin::board, "board"},
    {tones::Origin::room, "room"},
    {tones::Origin::mains, "mains"},
    {tones::Origin::unsure, "unsure"},
});
inline constexpr auto verdict_words = std::to_array<base::Word<Verdict>>({
    {Verdict::named, "named"},
    {Verdict::unknown, "unknown"},
    {Verdict::quiet, "quiet"},
});
inline constexpr auto trial_words = std::to_array<base::Word<Trial>>({
    {Trial::state, "state"},
    {Trial::part_off, "part off"},
    {Trial::moved_rate, "moved rate"},
    {Trial::sample_rate, "sample rate"},
    {Trial::room, "room"},
    {Trial::far, "far"},
    {Trial::longer, "longer"},
    {Trial::load, "load"},
    {Trial::press, "press"},
    {Trial::warm, "warm"},
});
inline constexpr auto effect_words = std::to_array<base::Word<Forecast::Effect>>({
    {Forecast::Effect::stays, "stays"},
    {Forecast::Effect::goes, "goes"},
    {Forecast::Effect::moves, "moves"},
    {Forecast::Effect::drifts, "drifts"},
    {Forecast::Effect::changes_level, "changes level"},
    {Forecast::Effect::is_in_room, "is in room"},
    {Forecast::Effect::falls, "falls"},
    {Forecast::Effect::appears, "appears"},
});
/// What a recording is to the answer.
inline constexpr const char *take_role = "take", *far_role = "far";
inline constexpr auto rival_words = std::to_array<base::Word<RivalKind>>({
    {RivalKind::mains, "mains"},
    {RivalKind::machine, "machine"},
    {RivalKind::mains_fed, "mains-fed"},
    {RivalKind::device, "device"},
    {RivalKind::notes, "notes"},
    {RivalKind::television, "television"},
    {RivalKind::room, "room"},
    {RivalKind::twin, "twin"},
});
static_assert(base::in_order(origin_words) && base::in_order(verdict_words) && base::in_order(trial_words) &&
              base::in_order(effect_words) && base::in_order(rival_words));

inline std::string kind_word(board::LineKind kind) {
    return board::about(kind).word;
}
inline std::string origin_word(tones::Origin origin) {
    return base::row_of(origin_words, origin).word;
}
inline std::string verdict_word(Verdict verdict) {
    return base::row_of(verdict_words, verdict).word;
}
inline std::string trial_word(Trial trial) {
    return base::row_of(trial_words, trial).word;
}
inline std::string effect_word(Forecast::Effect effect) {
    return base::row_of(effect_words, effect).word;
}
inline std::string rival_word(RivalKind kind) {
    return base::row_of(rival_words, kind).word;
}

}  // namespace tattletone::match
