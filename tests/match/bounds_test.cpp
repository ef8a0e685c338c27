// What the match does not look into is told, and what it has no reason to leave out counts.
// Referee of MODEL.md 17 and 12.1.

#include <catch2/catch.hpp>

#include <cstdint>
#include <cstdio>
#include <random>

#include "match/cases.h"
#include "match/model/parameters.h"
#include "match/model/take_set.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;

namespace {

bool told(const Findings& findings, const std::string& words) {
    return std::any_of(findings.notices.begin(), findings.notices.end(),
                       [&](const std::string& notice) { return notice.find(words) != std::string::npos; });
}

Findings with_steps(const BoardSheet& sheet, UnitTones unit, int most_nodes) {
    return diagnose(&sheet, std::move(unit), fitted_parameters(), {}, {most_nodes});
}

const Board rivals = Board()
                         .states({"x", "y"})
                         .rate("a", 976.5625, 50, Shape::pulse, {0})
                         .rate("b", 9600, 50)
                         .rate("c", 9599, 200, Shape::square, {1})
                         .wandering("d", 900, 1100);

/// Takes of one unit whose lines lie so near each other, in steps of what may still be one line, that which of them are
/// joined depends on the order in which they are compared.
std::vector<Take> many_takes(std::size_t count, std::mt19937& random) {
    std::vector<Take> takes;
    std::uniform_real_distribution<double> share(0.0, 1.0);
    for (std::size_t i = 0; i < count; ++i) {
        std::vector<Tone> tones;
        const auto add = [&](double hz, double chance) {
            if (share(random) < chance)
                tones.push_back(tone(hz, 6.0 + 10.0 * share(random), Origin::board, 0.002 + 0.01 * share(random)));
        };
        add(9600.0 + 0.02 * static_cast<double>(i % 5), 0.7);
        add(976.5651 + 0.002 * static_cast<double>(i % 3), i % 2 == 0 ? 0.8 : 0.2);
        add(2929.6953, i % 2 == 0 ? 0.6 : 0.1);
        add(5000.0 + 200.0 * share(random), 0.3);
        Take one = take(std::move(tones), i % 2 == 0 ? "x" : "y");
        one.path = "take " + std::to_string(i);
        one.found.seconds = 5.0 + static_cast<double>(i % 4);
        takes.push_back(std::move(one));
    }
    return takes;
}

}  // namespace

TEST_CASE("a set of takes holds what was put in, over 64 too") {
    TakeSet some;
    for (const std::size_t take : {0u, 15u, 16u, 31u, 63u, 64u, 127u, 200u}) some.add(take);
    for (const std::size_t take : {0u, 15u, 16u, 31u, 63u, 64u, 127u, 200u}) CHECK(some.has(take));
    for (const std::size_t take : {1u, 17u, 32u, 62u, 65u, 128u, 199u, 201u, 100000u}) CHECK(!some.has(take));
    const TakeSet all = TakeSet::first(150);
    CHECK(all.shared(some) == 7);
    CHECK(some.both(all).shared(some) == 7);
    TakeSet low, high;
    low.add(3);
    high.add(3);
    high.add(90);
    CHECK(high.both(TakeSet::first(64)) == low);
    CHECK(!(high == low));
    CHECK(!TakeSet().meets(all));
    low.add(high);
    CHECK(low == high);
}

// MODEL.md 8.1.
TEST_CASE("the last of many takes counts as the first does") {
    const auto board = Board().rate("a", 976.5625, 50).rate("b", 9600, 50);
    for (const std::size_t count : {17u, 64u, 65u, 130u})
        for (const std::size_t at : {std::size_t{0}, count / 2, count - 1}) {
            std::vector<Take> takes(count, take({}));
            takes[at] = take({tone(976.57, 20), tone(1953.14, 18), tone(2929.71, 16)});
            const Findings findings = diagnose(&board.sheet(), unite(std::move(takes), nullptr));
            INFO(count << " takes, heard in " << at + 1);
            REQUIRE(findings.unit.tones.size() == 3);
            const Findings turned = [&] {
                std::vector<Take> other(count, take({}));
                other[0] = take({tone(976.57, 20), tone(1953.14, 18), tone(2929.71, 16)});
                return diagnose(&board.sheet(), unite(std::move(other), nullptr));
            }();
            CHECK(probability(findings, "a") == Approx(probability(turned, "a")).margin(1e-9));
            CHECK(probability(findings, "b") < 0.01);
        }
}

TEST_CASE("in a state beyond the 16th take a line speaks as in the first") {
    const auto board =
        Board().states({"on", "off"}).rate("a", 5000, 300, Shape::pulse, {0}).rate("b", 5000.5, 300, Shape::pulse, {1});
    std::vector<Take> takes;
    for (int i = 0; i < 20; ++i) takes.push_back(take({tone(5000.2, 12)}));
    for (int i = 0; i < 4; ++i) takes.push_back(take({tone(5000.2, 12)}, "on"));
    for (int i = 0; i < 4; ++i) takes.push_back(take({}, "off"));
    const Findings last = diagnose(&board.sheet(), unite(takes, nullptr));
    std::rotate(takes.begin(), takes.begin() + 20, takes.end());
    const Findings first = diagnose(&board.sheet(), unite(takes, nullptr));
    CHECK(probability(last, "a") > 0.9);
    CHECK(probability(last, "a") == Approx(probability(first, "a")).margin(1e-9));
    CHECK(probability(last, "b") == Approx(probability(first, "b")).margin(1e-9));
}

// MODEL.md 8.1 and DETECTION.md 15.
TEST_CASE("the order in which takes are given changes nothing in the answer") {
    const std::uint32_t seed = 20261127;
    std::printf("order of takes: seed %u\n", seed);
    std::mt19937 random(seed);
    for (const std::size_t count : {2u, 5u, 17u, 23u, 40u, 70u}) {
        std::vector<Take> takes = many_takes(count, random);
        const Findings given = diagnose(&rivals.sheet(), unite(takes, nullptr));
        REQUIRE(!given.unit.tones.empty());
        for (int round = 0; round < (count < 30 ? 12 : 4); ++round) {
            std::shuffle(takes.begin(), takes.end(), random);
            const Findings other = diagnose(&rivals.sheet(), unite(takes, nullptr));
            INFO(count << " takes, round " << round);
            REQUIRE(other.unit.tones.size() == given.unit.tones.size());
            for (std::size_t i = 0; i < given.unit.tones.size(); ++i) {
                const UnitTone &one = given.unit.tones[i], &same = other.unit.tones[i];
                CHECK(same.tone.hz == one.tone.hz);
                REQUIRE(same.heard_in.size() == one.heard_in.size());
                for (const HeardIn& in : one.heard_in) {
                    const std::string& path = given.unit.takes[static_cast<std::size_t>(in.take)].path;
                    const auto there =
                        std::find_if(same.heard_in.begin(), same.heard_in.end(), [&](const HeardIn& candidate) {
                            return takes[static_cast<std::size_t>(candidate.take)].path == path;
                        });
                    REQUIRE(there != same.heard_in.end());
                    CHECK(there->heard == in.heard);
                    CHECK(there->level_dbfs == in.level_dbfs);
                }
            }
            CHECK(other.verdict == given.verdict);
            REQUIRE(other.suspects.size() == given.suspects.size());
            for (const Suspect& suspect : given.suspects)
                CHECK(probability(other, suspect.rate) == Approx(suspect.probability).margin(1e-9));
            CHECK(other.undeclared_probability == Approx(given.undeclared_probability).margin(1e-9));
            CHECK(other.card_error_ppm == Approx(given.card_error_ppm).margin(1e-6));
            CHECK(other.notices == given.notices);
        }
    }
}

TEST_CASE("a rate whose multiples end inside the band is told of, others are not") {
    const auto board =
        Board().rate("backlight.refresh", 31.25, 50).rate("bus.clock", 9600, 50).wandering("slow", 20, 400);
    const Findings findings = diagnose(&board.sheet(), one_take({tone(9600.1)}));
    REQUIRE(findings.notices.size() == 1);
    CHECK(told(findings, "first 64 multiples"));
    CHECK(told(findings, "backlight.refresh (31.25 Hz) up to 2000 Hz"));
    CHECK(told(findings, "slow (20 Hz at its lowest) up to 1280 Hz"));
    CHECK(!told(findings, "bus.clock"));
    // 64 multiples reach to the band's end, but no 65th is in it.
    const auto enough = Board().rate("frame", 308.0, 50);
    CHECK(diagnose(&enough.sheet(), one_take({tone(9600.1)})).notices.empty());
    CHECK(!diagnose(&Board().rate("frame", 307.0, 50).sheet(), one_take({tone(9600.1)})).notices.empty());
    CHECK(diagnose(&board.sheet(), unite({take({tone(600.0)}, "", {40.0, 1000.0})}, nullptr)).notices.empty());
    CHECK(diagnose(nullptr, one_take({tone(9600.1)})).notices.empty());
}

TEST_CASE("tones that are too many to accuse anybody are told of") {
    const auto board = Board().rate("a", 1000, 50);
    std::vector<Tone> tones;
    for (int i = 0; i < 8; ++i) tones.push_back(tone(2100.0 + 517.3 * i, 12.0, Origin::unsure));
    CHECK(diagnose(&board.sheet(), one_take(tones)).notices.empty());
    tones.push_back(tone(777.0, 12.0, Origin::unsure));
    CHECK(told(diagnose(&board.sheet(), one_take(tones)), "Of 9 tones nobody can say"));
}

TEST_CASE("lines of one rate beyond those that are weighed together are told of") {
    const auto board = Board().rate("a", 250, 50);
    std::vector<Tone> tones{tone(125), tone(375), tone(625)};
    for (int n = 1; n <= 61; ++n) tones.push_back(tone(250.0 * n));
    CHECK(!told(diagnose(&board.sheet(), one_take(tones)), "weighed together"));
    for (int n = 62; n <= 64; ++n) tones.push_back(tone(250.0 * n));
    const Findings findings = diagnose(&board.sheet(), one_take(tones));
    CHECK(told(findings, "lines of a than can be weighed together: the highest 3 of them"));
}

TEST_CASE("ways to sing beyond those that are weighed are told of where they count") {
    const auto board = Board().rate("a", 9600, 50);
    const auto families = [&](int count) {
        std::vector<Tone> tones;
        for (int i = 0; i < count; ++i) {
            const double hz = 1003.7 + 61.31 * i + 0.37 * i * i;
            for (const int n : {1, 2, 3, 4}) tones.push_back(tone(n * hz, 14.0 - n));
        }
        return diagnose(&board.sheet(), one_take(tones));
    };
    CHECK(!told(families(3), "more ways than are weighed"));
    CHECK(told(families(54), "fit families that nobody declared in more ways than are weighed"));
}

TEST_CASE("a search that met its bound is told of, and one that did not is not") {
    Board board;
    for (int i = 0; i < 12; ++i) board.rate("r" + std::to_string(i), 500.0 * (i + 1), i % 3 == 0 ? 20000 : 300);
    std::vector<Tone> tones;
    for (const double hz : {2000.1, 3000.2, 4000.1, 6000.3, 9000.1, 12000.5}) tones.push_back(tone(hz, 8));
    const UnitTones unit = one_take(tones);
    const Findings exact = with_steps(board.sheet(), unit, 1'000'000);
    CHECK(exact.notices.empty());
    int cut = 0, raised = 0, over = 0, under = 0;
    for (const int steps : {1, 3, 10, 30, 100, 300, 1000, 1500, 5000}) {
        const Findings some = with_steps(board.sheet(), unit, steps);
        INFO(steps << " steps");
        cut += told(some, "The search was cut");
        raised += told(some, "too many explanations to try them all (" + std::to_string(steps) + " steps)");
        CHECK(some.notices.size() == (told(some, "neither lower nor upper bounds") ? 1 : 0));
        for (const Suspect& suspect : exact.suspects) {
            const double off = probability(some, suspect.rate) - suspect.probability;
            if (some.notices.empty()) CHECK(std::abs(off) < 1e-9);
            over += off > 0.05;
            under += off < -0.05;
        }
    }
    // How many of the nine depends on the parameters: the fewest steps cut it, the most leave it whole.
    CHECK(cut > 0);
    CHECK(raised > 1);
    CHECK(cut + raised < 7);
    // What the notices say: the probabilities of a search that met its bound are no bounds themselves.
    CHECK(over > 0);
    CHECK(under > 0);
    CHECK(diagnose(&board.sheet(), unit).notices.empty());
}

// MODEL.md 12.2: sides that make the same tone shut each other out.
TEST_CASE("however short the search, one tone has one source") {
    Board board;
    for (int i = 0; i < 12; ++i) board.rate("r" + std::to_string(i), 3000.0 + 2.0 * i, 20000);
    const auto sum_with = [&](int steps) {
        double sum = 0.0;
        for (const Suspect& suspect : with_steps(board.sheet(), one_take({tone(3010.0, 20)}), steps).suspects)
            sum += suspect.probability;
        return sum;
    };
    const double exact = sum_with(1'000'000);
    CHECK(exact > 0.5);
    for (const int steps : {1, 2, 5, 10}) {
        INFO(steps << " steps");
        CHECK(sum_with(steps) == Approx(exact).margin(0.1));
    }
}
