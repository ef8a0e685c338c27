// Combs that nobody declared, MODEL.md 26a.

#include <catch2/catch.hpp>
#include <cmath>
#include <memory>

#include "match/cases.h"
#include "match/fine_noise.h"
#include "support/names.h"

using namespace tattletone;
using namespace tattletone::cases;
using Catch::Matchers::Contains;

namespace {

Findings ask(const Board& board, Take taken) {
    return diagnose(&board.sheet(), unite({std::move(taken)}, nullptr));
}

Findings ask(Take taken) {
    return diagnose(nullptr, unite({std::move(taken)}, nullptr));
}

const Rival* told_from(const Findings& findings, int comb) {
    for (const Rival& rival : findings.rivals)
        if (rival.undeclared == comb) return &rival;
    return nullptr;
}

}  // namespace

TEST_CASE("many faint lines that nobody declared are one source, with a sheet and without") {
    const Board board = Board().rate("frame", 400.0, 100.0).rate("other", 1234.5, 50.0);
    for (const double hz : {23.7, 121.3, 733.7}) {
        const auto fine = noise_with(50, hz, 5.0, 1, hz > 500.0 ? 24 : 60);
        for (const bool sheet : {true, false}) {
            INFO(hz << " Hz, sheet " << sheet);
            const Findings findings = sheet ? ask(board, with(fine)) : ask(with(fine));
            CHECK(findings.verdict == Verdict::quiet);
            REQUIRE(findings.undeclared.size() == 1);
            const UndeclaredComb& comb = findings.undeclared[0];
            CHECK(comb.hz == Approx(hz).epsilon(2e-5));
            CHECK(std::abs(comb.hz - hz) < 5.0 * comb.hz_sd);
            CHECK(comb.tones.empty());
            CHECK(comb.under_db > 1.0);
            REQUIRE(told_from(findings, 0) != nullptr);
            CHECK(told_from(findings, 0)->kind == RivalKind::device);
            CHECK_THAT(told_from(findings, 0)->words, Contains("that nobody declared") && Contains("none found alone"));
        }
    }
}

TEST_CASE("tones at the multiples of what nobody declared are its lines, told once") {
    const double hz = 121.3;
    std::vector<Tone> tones;
    for (int n = 8; n < 30; ++n) tones.push_back(tone(hz * n, 6.0));
    tones.push_back(tone(2001.7, 9.0));
    const Findings findings = ask(Board().rate("frame", 3456.0, 100.0), with(noise_with(51, hz, 40.0, 8, 29), tones));
    CHECK(findings.verdict == Verdict::unknown);
    REQUIRE(findings.undeclared.size() == 1);
    CHECK(findings.undeclared[0].hz == Approx(hz).epsilon(1e-6));
    CHECK(findings.undeclared[0].tones.size() == 22);
    CHECK(findings.undeclared[0].hz_sd < 2e-4);
    REQUIRE(told_from(findings, 0) != nullptr);
    // Neither held notes nor a motor of the same lines.
    for (const Rival& rival : findings.rivals)
        if (rival.undeclared < 0) CHECK(rival.tones.size() < 3);
}

TEST_CASE("what a declared rate explains is nobody else's") {
    const auto fine = noise_with(52, 400.0 * 1.00002, 6.0, 1, 40);
    const Findings alone = ask(Board().rate("frame", 400.0, 100.0), with(fine));
    CHECK(alone.verdict == Verdict::named);
    CHECK(alone.undeclared.empty());
    // Not the rate's own frequency: 1.1 % off.
    const Findings off = ask(Board().rate("frame", 400.0, 100.0), with(noise_with(53, 404.4, 6.0, 1, 40)));
    CHECK(probability(off, "frame") < 0.1);
    REQUIRE(off.undeclared.size() == 1);
    CHECK(off.undeclared[0].hz == Approx(404.4).epsilon(1e-5));
    // Both at once.
    const auto both = noise_with(54, 400.0, 6.0, 1, 40);
    const auto other = noise_with(55, 287.3, 6.0, 1, 40);
    for (std::size_t i = 0; i < both->code.size(); ++i) both->code[i] = std::max(both->code[i], other->code[i]);
    const Findings told = ask(Board().rate("frame", 400.0, 100.0), with(both));
    CHECK(probability(told, "frame") > 0.9);
    REQUIRE(told.undeclared.size() == 1);
    CHECK(told.undeclared[0].hz == Approx(287.3).epsilon(1e-5));
}

TEST_CASE("noise, the mains, the sound card's own and what repeats are no undeclared source") {
    for (std::uint64_t seed = 60; seed < 68; ++seed) {
        INFO("seed " << seed);
        CHECK(ask(with(noise_with(seed, 500.0, 0.0))).undeclared.empty());
    }
    CHECK(ask(with(noise_with(70, 50.02, 5.0, 1, 100))).undeclared.empty());
    CHECK(ask(with(noise_with(71, 119.98, 5.0, 1, 40))).undeclared.empty());
    CHECK(ask(with(noise_with(72, 48000.0 / 64.0, 6.0))).undeclared.empty());
    // Ticks: lines at all multiples of their pace.
    CHECK(ask(with(noise_with(73, 2.13, 6.0, 1, 20000))).undeclared.empty());
}
