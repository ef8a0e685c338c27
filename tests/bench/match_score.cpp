#include "bench/match_score.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <map>
#include <string>
#include <thread>

#include "match/diagnose.h"
#include "support/names.h"

namespace tattletone::bench {
namespace {

constexpr double surest = 1e-4;

/// Processor time: the machine may be busy with other things.
double thread_milliseconds() {
    timespec now{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

struct Sums {
    double log_score = 0.0, brier = 0.0, milliseconds = 0.0, slowest = 0.0;
    int rates = 0, with_culprit = 0, first = 0, named = 0, without = 0, accused = 0;
    std::array<Bin, 10> bins{};
};

void add(const DrawnUnit& unit, const MatchParameters& parameters, Sums& sums) {
    const double start = thread_milliseconds();
    const Findings findings = diagnose(&unit.sheet, unit.tones, parameters);
    const double milliseconds = thread_milliseconds() - start;
    sums.milliseconds += milliseconds;
    sums.slowest = std::max(sums.slowest, milliseconds);
    std::map<std::string, double> probability;
    for (const Suspect& suspect : findings.suspects) probability[suspect.rate] = suspect.probability;
    bool any = false;
    for (std::size_t i = 0; i < unit.sheet.rates.size(); ++i) {
        const auto found = probability.find(unit.sheet.rates[i].full_name);
        const double p = found == probability.end() ? 0.0 : found->second;
        const bool guilty = unit.guilty[i];
        any = any || guilty;
        const double kept = std::clamp(p, surest, 1.0 - surest);
        sums.log_score += std::log(guilty ? kept : 1.0 - kept);
        sums.brier += (p - guilty) * (p - guilty);
        ++sums.rates;
        if (p >= 0.01) {
            Bin& bin = sums.bins[std::min<std::size_t>(9, static_cast<std::size_t>(p * 10.0))];
            ++bin.count;
            bin.guilty += guilty;
            bin.probability += p;
        }
    }
    const bool accused = !findings.suspects.empty() && findings.suspects[0].probability >= 0.5;
    if (!any) {
        ++sums.without;
        sums.accused += accused;
        return;
    }
    ++sums.with_culprit;
    if (findings.suspects.empty()) return;
    for (std::size_t i = 0; i < unit.sheet.rates.size(); ++i)
        if (unit.guilty[i] && unit.sheet.rates[i].full_name == findings.suspects[0].rate) {
            ++sums.first;
            sums.named += accused;
        }
}

void merge(Sums& into, const Sums& from) {
    into.log_score += from.log_score;
    into.brier += from.brier;
    into.milliseconds += from.milliseconds;
    into.slowest = std::max(into.slowest, from.slowest);
    into.rates += from.rates;
    into.with_culprit += from.with_culprit;
    into.first += from.first;
    into.named += from.named;
    into.without += from.without;
    into.accused += from.accused;
    for (std::size_t i = 0; i < into.bins.size(); ++i) {
        into.bins[i].count += from.bins[i].count;
        into.bins[i].guilty += from.bins[i].guilty;
        into.bins[i].probability += from.bins[i].probability;
    }
}

}  // namespace

std::vector<DrawnUnit> draw_units(std::uint64_t first_seed, int count) {
    std::vector<DrawnUnit> units;
    for (int i = 0; i < count; ++i) units.push_back(draw_unit(first_seed + static_cast<std::uint64_t>(i)));
    return units;
}

Score score_of(std::span<const DrawnUnit> units, const MatchParameters& parameters) {
    constexpr std::size_t workers = 2;
    std::array<Sums, workers> parts{};
    std::vector<std::thread> threads;
    for (std::size_t worker = 0; worker < workers; ++worker)
        threads.emplace_back([&, worker] {
            for (std::size_t i = worker; i < units.size(); i += workers) add(units[i], parameters, parts[worker]);
        });
    for (std::thread& thread : threads) thread.join();
    Sums sums;
    for (const Sums& part : parts) merge(sums, part);
    const auto share = [](double part, int whole) { return whole > 0 ? part / whole : 0.0; };
    Score score;
    score.units = static_cast<int>(units.size());
    score.rates = sums.rates;
    score.log_score = share(sums.log_score, score.units);
    score.brier = share(sums.brier, sums.rates);
    score.named_first = share(sums.first, sums.with_culprit);
    score.named = share(sums.named, sums.with_culprit);
    score.false_accusations = share(sums.accused, sums.without);
    score.milliseconds = share(sums.milliseconds, score.units);
    score.slowest_milliseconds = sums.slowest;
    score.bins = sums.bins;
    int listed = 0;
    for (const Bin& bin : score.bins) {
        listed += bin.count;
        score.calibration_error += std::abs(bin.guilty - bin.probability);
    }
    score.calibration_error = share(score.calibration_error, listed);
    return score;
}

void print(const Score& score) {
    std::printf("%d units, %d rates\n", score.units, score.rates);
    std::printf("log score a unit %.4f, Brier %.4f, calibration error %.4f\n", score.log_score, score.brier,
                score.calibration_error);
    std::printf("named first %.3f (at 0.5 or more: %.3f), false accusations %.3f\n", score.named_first, score.named,
                score.false_accusations);
    std::printf("a diagnosis takes %.2f ms, the slowest %.1f ms\n", score.milliseconds, score.slowest_milliseconds);
    std::printf("probability     rates   mean said   guilty\n");
    for (std::size_t i = 0; i < score.bins.size(); ++i) {
        const Bin& bin = score.bins[i];
        if (bin.count == 0) continue;
        std::printf("%.2f to %.1f %9d %11.3f %8.3f\n", std::max(0.01, 0.1 * static_cast<double>(i)),
                    0.1 * static_cast<double>(i + 1), bin.count, bin.probability / bin.count,
                    static_cast<double>(bin.guilty) / bin.count);
    }
}

}  // namespace tattletone::bench
