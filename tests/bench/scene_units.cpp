#include "bench/scene_units.h"

#include <thread>

#include "support/names.h"
#include "support/scene.h"
#include "tones/find_tones.h"

namespace tattletone::bench {
namespace {

DrawnUnit hear(std::uint64_t seed) {
    const scenes::Scene scene = scenes::make_scene(seed);
    FindOptions options;
    options.threads = 1;
    std::vector<Take> takes;
    for (const scenes::SceneTake& take : scene.takes)
        takes.push_back({take.recording.origin, take.state, "", find_tones(take.recording, options)});
    DrawnUnit unit;
    unit.sheet = scene.sheet;
    if (scene.room) {
        const Tones room = find_tones(*scene.room, options);
        unit.tones = unite(std::move(takes), &room);
    } else {
        unit.tones = unite(std::move(takes), nullptr);
    }
    for (int rate = 0; rate < static_cast<int>(scene.sheet.rates.size()); ++rate)
        unit.guilty.push_back(scene.is_singing(rate));
    for (Take& take : unit.tones.takes)
        for (Tone& tone : take.found.tones) tone.history.clear();
    return unit;
}

}  // namespace

std::vector<DrawnUnit> hear_units(std::uint64_t first_seed, int count) {
    constexpr int workers = 2;
    std::vector<DrawnUnit> units(static_cast<std::size_t>(count));
    std::vector<std::thread> threads;
    for (int worker = 0; worker < workers; ++worker)
        threads.emplace_back([&, worker] {
            for (int i = worker; i < count; i += workers)
                units[static_cast<std::size_t>(i)] = hear(first_seed + static_cast<std::uint64_t>(i));
        });
    for (std::thread& thread : threads) thread.join();
    return units;
}

}  // namespace tattletone::bench
