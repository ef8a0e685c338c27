// Damaged sound accuses nobody wrongly: a small part of what score_damage measures.

#include <catch2/catch.hpp>

#include <cstdio>

#include "scenes/damage/damage.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::scenes;

TEST_CASE("clipped, or in bursts: the culprit is named as often as else, and hardly an innocent") {
    constexpr int units = 12;
    std::map<std::string, DamageScore> scores;
    int innocent = 0, of = 0;
    for (const Damage& damage : damages()) {
        const auto judged = judge_damages(first_checking_seed + 100, units, 2, damage);
        const DamageScore score = scores[damage.name] = summarise(judged);
        std::printf("%-14s named %d, an innocent %d, undeclared %d, of %d\n", damage.name.c_str(), score.named.yes,
                    score.innocent.yes, score.undeclared.yes, units);
        innocent += score.innocent.yes;
        of += score.innocent.of;
    }
    for (const char* name : {"clipped 1 %", "clipped 10 %", "clipped 33 %", "clipped 60 %"})
        CHECK(scores.at(name).named.yes >= scores.at("loud").named.yes - 3);
    for (const char* name : {"bursts 3-8", "bursts 8-40"})
        CHECK(scores.at(name).named.yes >= scores.at("lasting").named.yes - 3);
    CHECK(innocent <= 0.085 * of);  // 7 of 96; without the handling of damage 13 of 120
}
