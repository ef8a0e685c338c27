#include "session/live/live_ear.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <ctime>
#include <mutex>
#include <numeric>
#include <optional>

#include "scripted_source.h"
#include "support/names.h"

using namespace tattletone;
using namespace std::chrono_literals;

namespace {

/// What the analysis was given comes back in a tone: its length, its first and its last sample.
Tones echo(const Recording& recording) {
    Tones tones;
    tones.seconds = recording.seconds();
    tones.tones.resize(1);
    tones.tones[0].hz = recording.samples.front();
    tones.tones[0].hz_sd = recording.samples.back();
    return tones;
}

std::vector<float> constant(float value, std::size_t count) {
    return std::vector<float>(count, value);
}

template <class Condition>
std::shared_ptr<const Snapshot> wait_until(const LiveEar& ear, Condition condition) {
    const auto end = std::chrono::steady_clock::now() + 60s;  // ends a hung test
    auto snapshot = ear.newest();
    while (!condition(*snapshot) && std::chrono::steady_clock::now() < end) {
        snapshot = ear.wait_for(snapshot->sequence, 200ms);
    }
    REQUIRE(condition(*snapshot));
    return snapshot;
}

struct Rig {
    std::shared_ptr<ScriptedSource::Script> script = std::make_shared<ScriptedSource::Script>();
    std::unique_ptr<LiveEar> ear;
    explicit Rig(LiveEar::Analysis analysis = echo, const LiveOptions& options = {}) {
        auto started = LiveEar::start(std::make_unique<ScriptedSource>(script), std::move(analysis), options);
        REQUIRE(started);
        ear = std::move(*started);
    }
};

}  // namespace

TEST_CASE("half a second is needed, ten seconds are kept") {
    Rig rig;
    rig.script->say(constant(0.1f, 2000));
    auto snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.seconds_heard > 0.2; });
    CHECK(snapshot->tones == nullptr);
    CHECK(snapshot->device == "scripted");
    rig.script->say(constant(0.2f, 3000));
    snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.tones != nullptr; });
    CHECK(snapshot->tones->seconds == Approx(0.625));
    CHECK(snapshot->window->codec == "capture");
    rig.script->say(constant(0.3f, 8000 * 25));
    snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.tones->seconds > 9.0; });
    CHECK(snapshot->tones->seconds == Approx(10.0));
    CHECK(snapshot->tones->tones[0].hz == Approx(0.3));
    CHECK(snapshot->seconds_heard == Approx(25.625));
    CHECK(snapshot->gaps == 0);
}

TEST_CASE("nothing is analysed across a gap") {
    Rig rig;
    rig.script->say(constant(0.1f, 16000));
    wait_until(*rig.ear, [](const Snapshot& s) { return s.tones != nullptr; });
    rig.script->say(constant(0.5f, 1000), true);
    auto snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.gaps == 1; });
    CHECK(snapshot->tones == nullptr);
    rig.script->say(constant(0.6f, 7000));
    snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.tones != nullptr; });
    CHECK(snapshot->tones->seconds == Approx(1.0));
    CHECK(snapshot->tones->tones[0].hz == Approx(0.5));
}

/// Seconds from one analysis to the next, each with so much processor time, of sound that never
/// ends: so many, or until one is as long as asked for.
std::vector<double> intervals_of(double processor_seconds, std::size_t most, double long_enough) {
    using Clock = std::chrono::steady_clock;
    std::mutex mutex;
    std::vector<double> intervals;
    std::optional<Clock::time_point> last;
    Rig rig([&](const Recording& r) {
        {
            const std::scoped_lock lock(mutex);
            const auto begin = Clock::now();
            if (last) intervals.push_back(std::chrono::duration<double>(begin - *last).count());
            last = begin;
        }
        const auto until = std::clock() + static_cast<std::clock_t>(processor_seconds * CLOCKS_PER_SEC);
        while (std::clock() < until) {
        }
        return echo(r);
    });
    const auto give_up = Clock::now() + 60s;  // ends a hung test
    while (Clock::now() < give_up) {
        rig.script->say(constant(0.1f, 800));
        std::this_thread::sleep_for(20ms);
        const std::scoped_lock lock(mutex);
        if (intervals.size() >= most) break;
        if (!intervals.empty() && intervals.back() >= long_enough) break;
    }
    CHECK_FALSE(rig.ear->stop().error);
    return intervals;
}

TEST_CASE("at most two analyses a second, and fewer where one is dear") {
    // A busy machine makes intervals longer, never shorter, but for what passes before the first.
    const std::vector<double> cheap = intervals_of(0.0, 4, 1e9);
    REQUIRE(cheap.size() >= 4);
    CHECK(std::accumulate(cheap.begin(), cheap.begin() + 4, 0.0) >= 4 * 0.5 - 0.25);
    // 50 ms at 5 % of a core are one second, cut so that no answer is older than 0.95 s: there is less to cut from
    // where the machine is busy, but not every time.
    const std::vector<double> dear = intervals_of(0.05, 20, 1.3 * 0.5);
    REQUIRE_FALSE(dear.empty());
    CHECK(*std::max_element(dear.begin(), dear.end()) >= 1.3 * 0.5);
}

TEST_CASE("the state of the device is told by itself, and old snapshots stay as they were") {
    LiveOptions options;
    options.publish_every_seconds = 1e6;  // nothing but the state is left to tell of
    Rig rig(echo, options);
    rig.script->say(constant(0.1f, 8000));
    const auto before = wait_until(*rig.ear, [](const Snapshot& s) { return s.tones != nullptr; });
    rig.script->become(DeviceState::vanished, "gone");
    const auto snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.state == DeviceState::vanished; });
    CHECK(snapshot->message == "gone");
    CHECK(before->state == DeviceState::running);
    CHECK(before->message.empty());
    CHECK(snapshot->sequence > before->sequence);
    CHECK_FALSE(rig.ear->stop().error);
}

TEST_CASE("the last seconds are kept, as many as are asked for, up to half a minute") {
    LiveOptions options;
    options.pictures = true;
    Rig rig(echo, options);
    std::vector<float> ramp(40 * 8000);
    for (std::size_t i = 0; i < ramp.size(); ++i) ramp[i] = static_cast<float>(i) * 1e-6f;
    rig.script->say(ramp);
    wait_until(*rig.ear, [](const Snapshot& s) { return s.seconds_heard == 40.0; });
    for (const std::size_t seconds : {5u, 20u, 30u}) {
        const int number = rig.ear->keep_past(static_cast<double>(seconds));
        const auto snapshot =
            wait_until(*rig.ear, [&](const Snapshot& s) { return !s.kept.empty() && s.kept.back().first == number; });
        const std::vector<float>& samples = snapshot->kept.back().second->samples;
        REQUIRE(samples.size() == seconds * 8000);
        CHECK(samples.front() == ramp[ramp.size() - seconds * 8000]);
        CHECK(samples.back() == ramp.back());
    }
}

TEST_CASE("the live spectrum gets finer on request: two lines 2 Hz apart come apart") {
    LiveOptions options;
    options.pictures = true;
    options.publish_every_seconds = 0.05;
    Rig rig(echo, options);
    std::vector<float> lines(12 * 8000);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const double seconds = static_cast<double>(i) / 8000.0;
        lines[i] = static_cast<float>(0.1 * std::sin(2.0 * M_PI * 1000.0 * seconds) +
                                      0.1 * std::sin(2.0 * M_PI * 1002.0 * seconds));
    }
    rig.script->say(lines);
    auto snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.seconds_heard == 12.0 && s.spectrum; });
    const auto at = [&](double hz) {
        const auto bin = static_cast<std::size_t>(std::lround(hz / snapshot->spectrum->bin_hz));
        return snapshot->spectrum->dbfs_per_hz[bin];
    };
    CHECK(snapshot->spectrum->bin_hz == Approx(2.94).margin(0.1));
    rig.ear->resolve(0.2);
    snapshot = wait_until(*rig.ear, [](const Snapshot& s) { return s.spectrum->bin_hz < 0.2; });
    CHECK(at(1000.0) - at(1001.0) > 20.0);
    CHECK(at(1002.0) - at(1001.0) > 20.0);
    rig.ear->resolve(10.0);
    wait_until(*rig.ear, [](const Snapshot& s) { return s.spectrum->bin_hz > 2.0; });
}
