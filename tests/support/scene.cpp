#include "support/scene.h"
#include "support/names.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "base/decibels.h"
#include "support/codec.h"
#include "support/hardships.h"
#include "support/room.h"
#include "support/voice.h"

namespace tattletone::scenes {

namespace {

SceneKind draw_kind(Random& random) {
    const double u = random.uniform();
    if (u < 0.60) return SceneKind::culprit;
    if (u < 0.65) return SceneKind::two_culprits;
    if (u < 0.81) return SceneKind::quiet;
    if (u < 0.91) return SceneKind::undeclared;
    return SceneKind::states;
}

Timing draw_timing(Random& random) {
    const double u = random.uniform();
    if (u < 0.50) return Timing::crystal;
    if (u < 0.62) return Timing::ceramic;
    if (u < 0.84) return Timing::resistor_capacitor;
    return Timing::wandering;
}

/// Everything that the steps of making one scene share.
struct Making {
    const Assumptions& assumptions;
    Scene& scene;
    Room room;
    Band band;
    Resonances resonances;
    double card_factor;
    std::vector<double> true_hz;  ///< of each rate in this unit, in true hertz
    Random hardship;              ///< of its own: what is not hard is the same with and without
};

/// Of the wanted timing and with a harmonic in the band, else any such rate, else -1.
int draw_culprit(const Making& making, Timing wanted, Random& random) {
    std::vector<int> fitting, audible;
    for (std::size_t i = 0; i < making.scene.sheet.rates.size(); ++i) {
        const int rate = static_cast<int>(i);
        if (making.true_hz[i] > 0.9 * making.band.high_hz || making.scene.is_singing(rate)) continue;
        audible.push_back(rate);
        if (making.scene.timing[i] == wanted) fitting.push_back(rate);
    }
    const auto& from = fitting.empty() ? audible : fitting;
    return from.empty() ? -1 : random.pick(from);
}

void draw_true_rates(Making& making, Random& random) {
    const auto& rates = making.scene.sheet.rates;
    for (std::size_t i = 0; i < rates.size(); ++i) {
        if (rates[i].wanders()) {
            const double high = std::min(rates[i].hz_max / 1.06, 0.8 * making.band.high_hz);
            making.true_hz.push_back(random.log_uniform(rates[i].hz_min * 1.06, high));
        } else {
            const double sd = 0.5e-6 * rates[i].tolerance_ppm * making.assumptions.deviation_scale;
            making.true_hz.push_back(rates[i].hz * (1.0 + sd * random.cut_normal(2.0)));
        }
    }
}

void spread_clocks(Making& making) {
    if (making.assumptions.hardship != Hardship::spread_clock) return;
    for (std::size_t i = 0; i < making.true_hz.size(); ++i)
        if (making.scene.timing[i] == Timing::crystal) making.true_hz[i] *= 1.0 - 0.0025;
}

/// The second culprit is declared, and runs, at so many times the first's rate.
void place_second(Making& making, double ratio) {
    auto& singing = making.scene.singing;
    const auto first = static_cast<std::size_t>(singing[0]), second = static_cast<std::size_t>(singing[1]);
    Rate& rate = making.scene.sheet.rates[second];
    const double hz = making.true_hz[first] * ratio;
    if (rate.wanders()) {
        rate.hz_min = std::min(rate.hz_min, hz / 1.06);
        rate.hz_max = std::max(rate.hz_max, hz * 1.06);
    } else {
        rate.hz *= hz / making.true_hz[second];
    }
    making.true_hz[second] = hz;
}

double draw_tone_to_noise(const Assumptions& assumptions, Timing timing, Random& random) {
    return timing == Timing::wandering
               ? random.uniform(assumptions.wandering_low_db, assumptions.wandering_high_db)
               : random.uniform(assumptions.tone_to_noise_low_db, assumptions.tone_to_noise_high_db);
}

void burden(Voice& voice, Making& making, Shape shape, std::size_t samples) {
    const double fs = making.room.sample_rate_hz;
    if (making.assumptions.hardship == Hardship::hand_held) {
        const Handling handling = draw_handling(samples, fs, making.hardship);
        for (std::size_t i = 0; i < voice.hz.size(); ++i) voice.hz[i] *= handling.frequency[i];
        voice.pressure = handling.pressure;
    }
    if (making.assumptions.hardship == Hardship::changing_duty && shape != Shape::sine)
        voice.duty = draw_duty(samples, fs, making.hardship);
}

/// The same part of a second unit: as far off as two units of its timing are.
Voice second_unit(const Voice& voice, Making& making) {
    const Timing timing = making.scene.timing[static_cast<std::size_t>(voice.rate)];
    const double sd = timing == Timing::crystal ? 15e-6 : timing == Timing::ceramic ? 1e-3 : 1e-2;
    Voice second = voice;
    const double factor = 1.0 + sd * making.hardship.normal();
    for (double& hz : second.hz) hz *= factor;
    return second;
}

/// A rate's voice in one take. Lines that would stand above the band are left out.
Voice make_voice(Making& making, int rate, std::size_t samples, Random& random) {
    const Timing timing = making.scene.timing[static_cast<std::size_t>(rate)];
    const double fs = making.room.sample_rate_hz;
    Voice voice;
    voice.rate = rate;
    voice.steady = timing == Timing::crystal || timing == Timing::ceramic;
    const double hz = making.true_hz[static_cast<std::size_t>(rate)] * making.card_factor;
    voice.hz = draw_path(timing, hz, samples, fs, making.assumptions.wander_scale, random);
    const Shape shape = making.scene.sheet.rates[static_cast<std::size_t>(rate)].shape;
    for (int tries = 0; voice.lines.empty() && tries < 20; ++tries)
        voice.lines = draw_lines(shape, mean_of(voice.hz), making.resonances, making.room, making.band, random);
    if (random.chance(0.04) && !voice.lines.empty() && 0.5 * hz > 200.0)
        voice.lines.push_back({0.5, voice.lines.front().level_db - random.uniform(3.0, 12.0)});
    if (random.chance(0.10)) {
        const double seconds = static_cast<double>(samples) / fs;
        const double share = random.uniform(0.5, 0.9);
        voice.from_seconds = random.chance(0.5) ? 0.0 : seconds * (1.0 - share);
        voice.to_seconds = voice.from_seconds > 0.0 ? 1e9 : seconds * share;
    }
    burden(voice, making, shape, samples);
    return voice;
}

/// Could a fixed rate that keeps its tolerance be heard here? RC-timed ones excepted: too wide to avoid.
bool declared_at(const Scene& scene, double hz) {
    for (const Rate& rate : scene.sheet.rates) {
        if (rate.wanders() || rate.tolerance_ppm > 6000.0) continue;
        const double order = std::max(1.0, std::floor(2.0 * hz / rate.hz + 0.5));
        const double off = std::abs(2.0 * hz / (order * rate.hz) - 1.0);
        if (off < 1.5e-6 * rate.tolerance_ppm + 3e-4) return true;
    }
    return false;
}

/// A whine of something that the sheet does not list. It wanders only below every wandering rate,
/// where no reader of the sheet could take it for one.
Voice make_undeclared(const Making& making, std::size_t samples, Random& random) {
    double wandering_from_hz = making.band.high_hz;
    for (const Rate& rate : making.scene.sheet.rates)
        if (rate.wanders()) wandering_from_hz = std::min(wandering_from_hz, rate.hz_min);
    const bool wanders = wandering_from_hz > 1400.0 && random.chance(0.3);
    const bool single = random.chance(0.5);
    Voice voice;
    voice.steady = !wanders;
    for (int tries = 0; tries < 200; ++tries) {
        const double high = wanders ? 0.85 * wandering_from_hz : 0.8 * making.band.high_hz;
        const double hz = random.log_uniform(single ? 600.0 : 250.0, std::max(high, 700.0));
        voice.hz = draw_path(wanders ? Timing::wandering : Timing::crystal, hz * making.card_factor, samples,
                             making.room.sample_rate_hz, making.assumptions.wander_scale, random);
        voice.lines =
            draw_lines(single ? Shape::sine : Shape::pulse, hz, making.resonances, making.room, making.band, random);
        if (single && voice.lines.size() > 1) voice.lines.resize(1);
        if (wanders) std::erase_if(voice.lines, [&](const VoiceLine& l) { return l.multiple * hz > high; });
        const bool clear = std::none_of(voice.lines.begin(), voice.lines.end(), [&](const VoiceLine& line) {
            return declared_at(making.scene, line.multiple * hz);
        });
        if (clear && !voice.lines.empty()) break;
    }
    return voice;
}

/// As a recorder does whose level is set too high: so much of the samples comes to stand at the limit.
void clip(std::span<double> signal, double share) {
    std::vector<double> sizes(signal.size());
    std::transform(signal.begin(), signal.end(), sizes.begin(), [](double value) { return std::abs(value); });
    const auto at = sizes.begin() + static_cast<std::ptrdiff_t>((1.0 - share) * static_cast<double>(sizes.size() - 1));
    std::nth_element(sizes.begin(), at, sizes.end());
    for (double& value : signal) value = std::clamp(value / *at, -1.0, 1.0);
}

Recording finish(Making& making, Signal& signal, const Codec* codec, const char* name) {
    const bool phone = making.assumptions.hardship == Hardship::phone;
    if (phone) suppress_noise(signal, making.room.sample_rate_hz);
    if (phone || making.assumptions.automatic_gain) apply_automatic_gain(signal, making.room.sample_rate_hz);
    if (making.assumptions.clipped_share > 0.0) clip(signal, making.assumptions.clipped_share);
    Recording recording;
    recording.samples = quantise_16_bit(signal);
    recording.sample_rate_hz = making.room.sample_rate_hz;
    recording.origin = "scene " + std::to_string(making.scene.seed) + " " + name;
    recording.codec = "pcm_s16le";
    if (codec && squeeze(recording.samples, recording.sample_rate_hz, *codec)) {
        recording.codec = codec->name;
        recording.lossy = true;
        making.scene.codec = codec->name;
    }
    return recording;
}

const Codec* draw_codec(const Assumptions& assumptions, double sample_rate_hz, Random& random) {
    const bool used = random.chance(assumptions.codec_share);
    const Codec& drawn = random.pick(codecs());
    if (sample_rate_hz > 48000.0) return nullptr;
    for (const Codec& codec : codecs())
        if (codec.name == assumptions.codec) return &codec;
    return used ? &drawn : nullptr;
}

/// What one voice is in a take.
struct Sung {
    Voice voice;
    std::vector<TrueLine> lines;
    Timing timing = Timing::crystal;
    bool of_board = true;
};

/// From afar: hands hold some 3 and 60 cm; what walls send back at 60 cm is -6 to 3 dB of what comes straight and has a
/// phase of its own for each line. What is not of the board is as loud as before, but for the room's field (sd of its
/// level: 5.6 dB, M. Schroeder; common practice).
void add_from_afar(Signal& signal, Sung sung, const Making& making, Random& random) {
    const double distance_db = 20.0 * std::log10(random.log_uniform(45.0, 80.0) / random.log_uniform(2.0, 5.0));
    const double walls = std::sqrt(0.5 * db_to_power(random.uniform(-6.0, 3.0)));
    const double moved_db = 3.0 * random.normal();
    double strongest_db = -400.0;
    for (std::size_t i = 0; i < sung.lines.size(); ++i) {
        const double real = 1.0 + walls * random.normal(), imaginary = walls * random.normal();
        const double of_board_db = distance_db - power_to_db(real * real + imaginary * imaginary);
        const double of_room_db = moved_db + 5.6 * std::numbers::sqrt2 * random.normal();
        const double fall_db = sung.of_board ? of_board_db : of_room_db;
        sung.voice.lines[i].level_db -= fall_db;
        strongest_db = std::max(strongest_db, sung.lines[i].tone_to_noise_db - fall_db);
    }
    sung.voice.hz = draw_path(sung.timing, mean_of(sung.voice.hz), signal.size(), making.room.sample_rate_hz,
                              making.assumptions.wander_scale, random);
    add_voice(signal, sung.voice, strongest_db, making.room, 0, random);
}

void declare_states(Scene& scene, int culprit, Random& random) {
    scene.sheet.states = {"idle", "active"};
    for (std::size_t i = 0; i < scene.sheet.rates.size(); ++i) {
        const int which = static_cast<int>(i) == culprit ? random.below(2) : random.below(4);
        if (which < 2) scene.sheet.rates[i].active_in = {which};
    }
}

void tell_story(Scene& scene, double burst_hz, double burst_duty) {
    std::string story = name_of(scene.kind);
    for (const int rate : scene.singing) {
        const auto i = static_cast<std::size_t>(rate);
        story += ", " + scene.sheet.rates[i].full_name + " (" + name_of(scene.timing[i]) + ")";
    }
    char text[64];
    if (scene.strongest_db > -300.0) {
        std::snprintf(text, sizeof text, ", strongest line %+.1f dB", scene.strongest_db);
        story += text;
    }
    std::snprintf(text, sizeof text, ", %.0f Hz, %.1f s", scene.takes[0].recording.sample_rate_hz,
                  scene.takes[0].recording.seconds());
    story += text;
    if (burst_hz > 0.0) {
        std::snprintf(text, sizeof text, ", in bursts at %.2f Hz, on for %.0f %%", burst_hz, 100.0 * burst_duty);
        story += text;
    }
    if (!scene.codec.empty()) story += ", " + scene.codec + " kbit/s";
    scene.story = story;
}

}  // namespace

Scene make_scene(std::uint64_t seed, const Assumptions& assumptions) {
    Random random(seed);
    Random board_random = random.fork(), room_random = random.fork(), choice = random.fork(),
           path_random = random.fork(), noise_random = random.fork();

    Scene scene;
    scene.seed = seed;
    const SceneKind drawn_kind = draw_kind(choice);
    const bool under_load = assumptions.hardship == Hardship::under_load;
    scene.kind = under_load ? SceneKind::states : assumptions.kind.value_or(drawn_kind);
    const double rate_draw = choice.uniform();
    const double fs = rate_draw < 0.6 ? 48000.0 : rate_draw < 0.92 ? 44100.0 : 96000.0;
    const double drawn_seconds = choice.chance(0.7) ? 10.0 : choice.uniform(3.0, 12.0);
    const double seconds = assumptions.seconds > 0.0 ? assumptions.seconds : drawn_seconds;
    const auto samples = static_cast<std::size_t>(seconds * fs);
    const double card_factor = 1.0 + 1e-6 * (assumptions.card_ppm_mean + assumptions.card_ppm_sd * choice.normal());
    const Codec* codec = draw_codec(assumptions, fs, choice);

    DrawnBoard board = draw_board(board_random.between(assumptions.fewest_rates, assumptions.most_rates), board_random);
    scene.sheet = std::move(board.sheet);
    scene.timing = std::move(board.timing);
    Making making{assumptions,
                  scene,
                  draw_room(fs, card_factor, room_random),
                  {60.0, std::min({18500.0, 0.44 * fs, codec ? 0.95 * codec->edge_hz : 1e9})},
                  Resonances(assumptions.resonance_sd_db, board_random),
                  card_factor,
                  {},
                  Random(seed ^ 0x6861726473686970u)};
    draw_true_rates(making, board_random);
    spread_clocks(making);

    const int culprits = scene.kind == SceneKind::two_culprits                                   ? 2
                         : scene.kind == SceneKind::quiet || scene.kind == SceneKind::undeclared ? 0
                                                                                                 : 1;
    std::vector<double> levels;
    for (int i = 0; i < culprits; ++i) {
        const Timing drawn = draw_timing(choice);
        const int culprit = draw_culprit(making, assumptions.culprit.value_or(drawn), choice);
        if (culprit < 0) continue;
        scene.singing.push_back(culprit);
        levels.push_back(draw_tone_to_noise(assumptions, scene.timing[static_cast<std::size_t>(culprit)], choice));
    }
    if (assumptions.pair_ratio > 0.0 && scene.singing.size() == 2) place_second(making, assumptions.pair_ratio);
    if (scene.kind == SceneKind::states && !scene.singing.empty()) declare_states(scene, scene.singing[0], choice);
    scene.undeclared = scene.kind == SceneKind::undeclared;

    std::vector<std::vector<int>> active_in;
    for (const int rate : scene.singing) {
        auto& said = scene.sheet.rates[static_cast<std::size_t>(rate)].active_in;
        active_in.push_back(said);
        if (under_load) said.clear();
    }

    std::vector<Sung> sung;  // in the first take that has a voice
    const int takes = scene.kind == SceneKind::states ? 2 : 1;
    double burst_hz = 0.0, burst_duty = 1.0;
    if (assumptions.bursts) {
        burst_hz = choice.log_uniform(assumptions.burst_low_hz, assumptions.burst_high_hz);
        burst_duty = choice.uniform(assumptions.burst_duty_low, assumptions.burst_duty_high);
    }
    for (int take = 0; take < takes; ++take) {
        Signal signal = make_background(making.room, samples, noise_random);
        for (std::size_t i = 0; i < scene.singing.size(); ++i) {
            const auto& in = active_in[i];
            if (takes > 1 && !in.empty() && std::find(in.begin(), in.end(), take) == in.end()) continue;
            Voice voice = make_voice(making, scene.singing[i], samples, path_random);
            if (assumptions.bursts) {
                voice.burst_hz = burst_hz;
                voice.burst_duty = burst_duty;
                voice.burst_phase = choice.uniform();
            }
            const auto add = [&](const Voice& one, double tone_to_noise_db) {
                const auto added = add_voice(signal, one, tone_to_noise_db, making.room, take, path_random);
                scene.lines.insert(scene.lines.end(), added.begin(), added.end());
                return added;
            };
            const auto added = add(voice, levels[i]);
            if (!added.empty() && (sung.empty() || sung[0].lines[0].take == take))
                sung.push_back({voice, added, scene.timing[static_cast<std::size_t>(scene.singing[i])]});
            if (assumptions.hardship == Hardship::two_units)
                add(second_unit(voice, making), levels[i] - making.hardship.uniform(0.0, 6.0));
        }
        if (scene.undeclared) {
            const Voice voice = make_undeclared(making, samples, path_random);
            const double level =
                draw_tone_to_noise(assumptions, voice.steady ? Timing::crystal : Timing::wandering, choice);
            const auto added = add_voice(signal, voice, level, making.room, take, path_random);
            scene.lines.insert(scene.lines.end(), added.begin(), added.end());
            if (!added.empty())
                sung.push_back({voice, added, voice.steady ? Timing::crystal : Timing::wandering, false});
        }
        const std::string name = "take " + std::to_string(take + 1);
        scene.takes.push_back({finish(making, signal, codec, name.c_str()),
                               takes > 1 ? scene.sheet.states[static_cast<std::size_t>(take)] : std::string()});
    }
    if (choice.chance(0.25)) {
        Signal signal = make_background(making.room, samples, noise_random);
        scene.room = finish(making, signal, codec, "room");
    }
    if (assumptions.far) {
        Random far_random(seed ^ 0x6661722074616b65u);
        Signal signal = make_background(making.room, samples, far_random);
        for (const Sung& one : sung) add_from_afar(signal, one, making, far_random);
        const auto take = sung.empty() ? std::size_t{0} : static_cast<std::size_t>(sung[0].lines[0].take);
        scene.far = {finish(making, signal, codec, "far"), scene.takes[take].state};
    }
    for (const TrueLine& line : scene.lines) scene.strongest_db = std::max(scene.strongest_db, line.tone_to_noise_db);
    tell_story(scene, burst_hz, burst_duty);
    return scene;
}

}  // namespace tattletone::scenes
