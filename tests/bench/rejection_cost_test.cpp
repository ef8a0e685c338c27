// That the bench finds what the program finds, and that its gates, put out of work one at a time,
// let pass what they are for.

#include "bench/rejection_count.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <functional>
#include <iostream>
#include <iterator>
#include <regex>

#include "support/names.h"
#include "support/scene.h"
#include "tones/find_tones.h"
#include "tones/made.h"

using namespace tattletone;
using namespace tattletone::bench;

namespace {

constexpr double rms = 0.001, seconds = 8.0;
constexpr auto samples_of_all = static_cast<std::size_t>(seconds * made::rate_hz);

double amplitude(double db_hz) {
    return made::amplitude_over_noise(db_hz, rms, made::rate_hz);
}

struct Sound {
    std::vector<float> samples = made::white(samples_of_all, rms, 5);

    void steady(double hz, double db_hz, double phase = 0.4) {
        made::add_tone(samples, made::rate_hz, hz, amplitude(db_hz), phase);
    }
    void shaped(double hz, double db_hz, const std::function<double(double)>& factor) {
        made::add_path(
            samples, made::rate_hz, [=](double) { return hz; }, [&](double t) { return amplitude(db_hz) * factor(t); },
            0.4);
    }
    void swaying(double hz, double db_hz, double period) {
        made::add_path(
            samples, made::rate_hz,
            [=](double t) { return hz * (1.0 + 0.01 * std::sin(2.0 * 3.14159265 * t / period)); },
            [=](double) { return amplitude(db_hz); }, 0.4);
    }
};

const LimitNumber& number_of(const std::string& name) {
    const auto& all = limit_numbers();
    const auto at = std::find_if(all.begin(), all.end(), [&](const auto& n) { return n.name == name; });
    REQUIRE(at != all.end());
    return *at;
}

// What each gate is for, and nothing else that would keep it out.
Sound sound_for(const std::string& name) {
    Sound sound;
    const auto on_and_off = [](double ratio) {
        return [ratio](double t) { return std::fmod(t, 2.0) < 1.0 ? 1.0 : ratio; };
    };
    if (name == "follow_correlation") {
        const auto level = on_and_off(0.42);
        for (std::size_t i = 0; i < sound.samples.size(); ++i)
            sound.samples[i] *= static_cast<float>(level(static_cast<double>(i) / made::rate_hz));
        sound.shaped(4321.0, 40.0, level);
    } else if (name == "least_present") {
        sound.shaped(4321.0, 40.0, [](double t) { return t < 0.37 * seconds ? 1.0 : 0.0; });
    } else if (name == "most_unsteadiness") {
        // Weak enough that what the steps make beside it stays under the threshold.
        sound.shaped(4321.0, 18.0, [](double t) {
            constexpr double level[] = {1.0, 0.3, 1.0, 1.2, 0.2, 0.2, 0.9, 0.2, 1.1, 1.0, 0.2, 0.8, 0.2, 0.9, 1.2, 0.3};
            return level[std::min(static_cast<int>(t * 16.0 / seconds), 15)];
        });
    } else if (name == "family_others") {
        for (const auto& [hz, period] : {std::pair{1111.0, 3.1}, {1433.0, 4.3}, {1789.0, 5.3}})
            sound.swaying(hz, 42.0, period);
    } else if (name == "hum_below_hz") {
        sound.steady(133.3, 35.0);
    } else if (name == "rumble_below_hz") {
        sound.swaying(333.0, 45.0, 4.0);
    } else if (name == "sideband_reach_hz") {
        for (const double hz : {3000.0, 2829.0, 3171.0}) sound.steady(hz, hz == 3000.0 ? 70.0 : 38.0);
    } else if (name == "note_events") {
        sound.steady(2000.3, 15.0);
        for (int note = 0; note < 5; ++note)
            sound.shaped(1850.0 + 71.0 * note, 55.0, [=](double t) {
                return t > note && t < note + 0.4 ? std::sin(3.14159265 * (t - note) / 0.4) : 0.0;
            });
    } else if (name == "crowd_lines") {
        for (const double apart : {0.0, 9.7, 21.1, 33.9, 47.3, 58.1, 71.7}) sound.steady(4321.0 + apart, 38.0);
    } else if (name == "comb_pairs") {
        for (int pair = 0; pair < 14; ++pair)
            for (const double apart : {0.0, 22.3}) sound.steady(5000.0 + 103.7 * pair + apart, 38.0, pair);
    } else if (name == "mains_share") {
        for (const double order : {3.0, 4.0, 5.0, 7.0}) sound.steady(order * 50.02, 38.0);
    } else if (name == "mains_carrier_hz") {
        for (const double apart : {0.0, 100.0, 150.0, 250.0}) sound.steady(6007.0 + apart, apart == 0.0 ? 55.0 : 40.0);
    }
    return sound;
}

}  // namespace

TEST_CASE("the bench finds the tones that the program finds") {
    FindOptions options;
    options.threads = 1;
    int tones = 0;
    for (const std::uint64_t seed : {500'002u, 500'005u, 500'011u}) {
        const Recording recording = scenes::make_scene(seed).takes[0].recording;
        const Tones ours = tones_of(lines_of(recording.samples, recording.sample_rate_hz, {}), {});
        const Tones theirs = find_tones(recording, options);
        REQUIRE(ours.tones.size() == theirs.tones.size());
        for (std::size_t i = 0; i < ours.tones.size(); ++i) {
            CHECK(ours.tones[i].hz == theirs.tones[i].hz);
            CHECK(ours.tones[i].rejection == theirs.tones[i].rejection);
            ++tones;
        }
        REQUIRE(ours.faint.size() == theirs.faint.size());
    }
    CHECK(tones > 10);
}

TEST_CASE("a gate out of work lets pass what it is for") {
    for (const char* name : {"follow_correlation", "least_present", "most_unsteadiness", "family_others",
                             "hum_below_hz", "rumble_below_hz", "sideband_reach_hz", "note_events", "crowd_lines",
                             "comb_pairs", "mains_share", "mains_carrier_hz"}) {
        INFO(name);
        Sound sound = sound_for(name);
        sound.steady(9123.0, 40.0);  // the board's
        HeardRecording recording;
        recording.known = {{9123.0, 0.5}};
        recording.sample_rate_hz = made::rate_hz;
        recording.lines = lines_of(sound.samples, made::rate_hz, {});
        Heard heard;
        heard.recordings.push_back(std::move(recording));
        RejectionBench bench(std::move(heard));
        const LimitNumber& number = number_of(name);
        const Effect effect = bench.effect(number, number.get(RejectionLimits{}));
        std::cout << name << ": keeps out " << effect.kept_made.count << " of " << effect.kept_made.of << '\n';
        CHECK(effect.kept_made.count > 0);
        CHECK(effect.lost_made.of == 1);
        CHECK(effect.lost_made.count == 0);
        CHECK(bench.alone(number).kept_made.count > 0);
    }
}

TEST_CASE("a search with another number is another search") {
    Heard heard;
    HeardRecording recording;
    Sound sound;
    // Half a second of a note in eight: an event, and a tone where there are none.
    sound.shaped(4321.0, 60.0, [](double t) { return t > 3.0 && t < 3.5 ? 1.0 : 0.0; });
    recording.samples = sound.samples;
    recording.sample_rate_hz = made::rate_hz;
    heard.recordings.push_back(std::move(recording));
    RejectionBench bench(std::move(heard));
    const LimitNumber& number = number_of("event_mean_share");
    RejectionLimits without;
    number.off(without);
    const auto& one = bench.heard().recordings[0];
    const auto with = lines_of(one.samples, one.sample_rate_hz, {});
    without.event_rest_share = 0.0;
    CHECK(with[0].event_hz.size() > 0);
    CHECK(lines_of(one.samples, one.sample_rate_hz, without)[0].event_hz.empty());
    CHECK(bench.effect(number, 0.35).lost_made.of == 0);
}

TEST_CASE("the interval of a share is Wilson's") {
    // R. G. Newcombe, Statist. Med. 17 (1998), table I, method 3: 81 of 263, 15 of 148, 0 of 20, 1
    // of 29.
    const double expected[][4] = {
        {81, 263, 25.53, 36.62}, {15, 148, 6.24, 16.05}, {0, 20, 0.0, 16.11}, {1, 29, 0.61, 17.18}};
    for (const auto& [count, of, low, high] : expected) {
        const auto [from, to] = Share{static_cast<int>(count), static_cast<int>(of)}.interval();
        CHECK(from == Approx(low).margin(0.006));
        CHECK(to == Approx(high).margin(0.006));
    }
}

TEST_CASE("each number of the gates is in the bench once, and differs from what it is tried with") {
    std::vector<std::string> names;
    for (const LimitNumber& number : limit_numbers()) {
        names.push_back(number.name);
        for (const double other : other_values(number)) {
            RejectionLimits limits;
            number.set(limits, other);
            CHECK(number.get(limits) == other);
            CHECK(other != number.get(RejectionLimits{}));
        }
    }
    std::sort(names.begin(), names.end());
    CHECK(std::adjacent_find(names.begin(), names.end()) == names.end());
    // All that the struct holds, and beside each the line that the bench printed, or why there is
    // none.
    std::ifstream header(TATTLETONE_SOURCE_DIR "/src/tones/judge/rejection_limits.h");
    const std::string text{std::istreambuf_iterator<char>(header), {}};
    const std::regex member("\n    (?:double|int) (\\w+) = ");
    std::vector<std::string> members;
    for (std::sregex_iterator at(text.begin(), text.end(), member), end; at != end; ++at) members.push_back((*at)[1]);
    for (const std::string& one : members) {
        INFO(one);
        CHECK((text.find("rejection_cost " + one + ": ") != std::string::npos));
    }
    std::sort(members.begin(), members.end());
    CHECK(members == names);
}
