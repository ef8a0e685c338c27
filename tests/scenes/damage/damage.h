#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "scenes/score.h"
#include "support/names.h"
#include "support/scene.h"

namespace tattletone::scenes {

/// What is wrong with a recording, or with the way in which a culprit sounds.
struct Damage {
    std::string name;
    Assumptions assumptions;
};

/// The sound as it should be, clipped at several shares (with levels that clip: a loud board), and in bursts.
std::vector<Damage> damages();

/// What was said of one board of which one rate sings.
struct DamageJudged {
    std::uint64_t seed = 0;
    bool named = false;     ///< the likeliest suspect sings and has 0.5 or more
    double innocent = 0.0;  ///< the likeliest of the rates that do not sing
    double undeclared = 0.0;
    bool noticed = false;  ///< a tone is told as made by the clipping, or as sounding in bursts
    std::string told;      ///< for the list
};

DamageJudged judge_damage(std::uint64_t seed, const Damage& damage);
/// `units` boards from `first_seed` on; the order and the result do not depend on the threads.
std::vector<DamageJudged> judge_damages(std::uint64_t first_seed, int units, int threads, const Damage& damage);

struct DamageScore {
    Share named, innocent, sure_innocent;  ///< accused with 0.5 or more, with 0.95 or more
    Share undeclared;                      ///< 'something undeclared' at 0.95 or more beside a culprit that is named
    Share noticed;
};
DamageScore summarise(const std::vector<DamageJudged>& judged);

}  // namespace tattletone::scenes
