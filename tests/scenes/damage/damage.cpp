#include "scenes/damage/damage.h"

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <thread>

#include "report/words.h"
#include "support/names.h"

namespace tattletone::scenes {
std::vector<Damage> damages() {
    Assumptions loud;
    loud.kind = SceneKind::culprit;
    loud.codec_share = 0.0;
    loud.tone_to_noise_low_db = 10.0;
    loud.tone_to_noise_high_db = 45.0;
    loud.wandering_low_db = 10.0;
    loud.wandering_high_db = 35.0;
    std::vector<Damage> all = {{"loud", loud}};
    for (const auto& [name, share] :
         {std::pair{"clipped 1 %", 0.01}, {"clipped 10 %", 0.1}, {"clipped 33 %", 0.33}, {"clipped 60 %", 0.6}}) {
        all.push_back({name, loud});
        all.back().assumptions.clipped_share = share;
    }
    Assumptions usual;
    usual.kind = SceneKind::culprit;
    usual.codec_share = 0.0;
    usual.tone_to_noise_low_db = 0.0;
    usual.tone_to_noise_high_db = 30.0;
    all.push_back({"lasting", usual});
    usual.bursts = true;
    for (const auto& [name, low_hz, high_hz] : {std::tuple{"bursts 3-8", 3.0, 8.0}, {"bursts 8-40", 8.0, 40.0}}) {
        all.push_back({name, usual});
        all.back().assumptions.burst_low_hz = low_hz;
        all.back().assumptions.burst_high_hz = high_hz;
    }
    return all;
}

DamageJudged judge_damage(std::uint64_t seed, const Damage& damage) {
    const Scene scene = make_scene(seed, damage.assumptions);
    const Findings findings = examine(scene);
    DamageJudged judged;
    judged.seed = seed;
    judged.undeclared = findings.undeclared_probability;
    for (std::size_t i = 0; i < findings.suspects.size(); ++i) {
        const Suspect& suspect = findings.suspects[i];
        const auto& rates = scene.sheet.rates;
        const auto rate =
            std::find_if(rates.begin(), rates.end(), [&](const Rate& each) { return each.full_name == suspect.rate; });
        const bool sings = scene.is_singing(static_cast<int>(rate - rates.begin()));
        if (i == 0 && sings && suspect.probability >= 0.5) judged.named = true;
        if (!sings) judged.innocent = std::max(judged.innocent, suspect.probability);
    }
    for (const UnitTone& tone : findings.unit.tones)
        if (tone.tone.product_hz > 0.0 || tone.tone.bursts_hz > 0.0) judged.noticed = true;
    judged.told = scene.story + "\n    " + report::answer_sentence(findings) + '\n';
    for (const Suspect& suspect : findings.suspects) {
        char line[200];
        std::snprintf(line, sizeof line, "    %s %.3f\n", suspect.rate.c_str(), suspect.probability);
        judged.told += line;
    }
    judged.told += tones_text(findings);
    return judged;
}

std::vector<DamageJudged> judge_damages(std::uint64_t first_seed, int units, int threads, const Damage& damage) {
    std::vector<DamageJudged> judged(static_cast<std::size_t>(units));
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
        for (std::size_t i = next++; i < judged.size(); i = next++) judged[i] = judge_damage(first_seed + i, damage);
    };
    std::vector<std::jthread> others;
    for (int thread = 1; thread < threads; ++thread) others.emplace_back(work);
    work();
    others.clear();
    return judged;
}

DamageScore summarise(const std::vector<DamageJudged>& judged) {
    DamageScore score;
    for (const DamageJudged& one : judged) {
        score.named.add(one.named);
        score.innocent.add(one.innocent >= 0.5);
        score.sure_innocent.add(one.innocent >= 0.95);
        if (one.named) score.undeclared.add(one.undeclared >= 0.95);
        score.noticed.add(one.noticed);
    }
    return score;
}

}  // namespace tattletone::scenes
