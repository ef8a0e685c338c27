#include <catch2/catch.hpp>

#include <cstdio>

#include "scenes/courses.h"
#include "support/names.h"
#include "support/scene.h"

using namespace tattletone::scenes;

TEST_CASE("ambiguous units: the experiments that are proposed find the culprit sooner than the next state does") {
    constexpr int units = 8;
    const CourseScore next = score_courses(first_checking_seed, units, Policy::next);
    const CourseScore random = score_courses(first_checking_seed, units, Policy::random);
    const CourseScore states = score_courses(first_checking_seed, units, Policy::states);
    std::printf(
        "%d ambiguous units from seed %llu, mean experiments until 0.95: %.2f as proposed, %.2f at random, "
        "%.2f by states; solved %d, %d, %d; wrong %d, %d, %d\n",
        units, static_cast<unsigned long long>(first_checking_seed), next.mean_experiments, random.mean_experiments,
        states.mean_experiments, next.solved, random.solved, states.solved, next.wrong, random.wrong, states.wrong);
    CHECK(next.mean_experiments < states.mean_experiments);
    CHECK(next.solved >= states.solved);
    CHECK(next.wrong <= 1);
}
