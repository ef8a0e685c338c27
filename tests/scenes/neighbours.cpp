#include "scenes/neighbours.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <utility>

#include "base/decibels.h"
#include "scenes/mains_grid.h"
#include "scenes/neighbour_sounds.h"
#include "scenes/reverberation.h"
#include "support/names.h"

namespace tattletone::scenes {

namespace {

DrawnNeighbour draw_neighbour(Neighbour kind, const Surroundings& around, Random& random) {
    constexpr DrawnNeighbour (*draw[])(const Surroundings&, Random&) = {
        draw_mains_buzz, draw_fan,        draw_motor,      draw_charger,   draw_clocked,
        draw_notes,      draw_television, draw_oscillator, draw_commotion, draw_beside};
    return draw[static_cast<int>(kind)](around, random);
}

/// Can such a neighbour stand beside this board at all?
bool suits(const DrawnBoard& board, Neighbour kind, const NeighbourAssumptions& assumptions) {
    const auto crystal_below_hz = [&](double hz) {
        for (std::size_t i = 0; i < board.timing.size(); ++i)
            if (board.timing[i] == Timing::crystal && board.sheet.rates[i].hz < hz) return true;
        return false;
    };
    if (kind == Neighbour::beside) return crystal_below_hz(8000.0);
    if (kind != Neighbour::television || assumptions.may_have_a_declared_rate) return true;
    return beside_all_rates(board.sheet, 15625.0) || beside_all_rates(board.sheet, 4.5e6 / 286.0);
}

bool moves(const NeighbourSound& sound) {
    const Movement& movement = sound.movement;
    return !sound.follows_mains && movement.sway + movement.trend + movement.vibrato > 1e-4;
}

/// What stays the same from one recording to the next.
struct Setting {
    Room room;  ///< without its lines
    Band band;
    Surroundings around;
    Neighbour kind;
    DrawnNeighbour neighbour;
    Reverberation reverberation;
    bool microphone_moves;
    double tone_to_noise_db;  ///< of the neighbour's strongest line
    double commotion_rms;
    MainsGrid grid;
};

double response_db(const Setting& setting, double true_hz) {
    return setting.room.response_db(true_hz * setting.room.card_factor);
}

double tone_to_noise_db(const Setting& setting, const NeighbourSound& sound, const Partial& partial) {
    const double hz = std::abs(partial.multiple * sound.hz + partial.modulation * setting.grid.nominal_hz());
    const double density = setting.room.density(hz * setting.room.card_factor);
    return partial.level_db + response_db(setting, hz) - power_to_db(density * critical_band_hz(hz));
}

/// Lines outside the band, and those far under the strongest, are not worth their time.
void leave_out_the_inaudible(const Setting& setting, DrawnNeighbour& neighbour) {
    constexpr double far_below_db = 55.0;
    double strongest_db = -400.0;
    const auto outside = [&](const NeighbourSound& sound, const Partial& partial) {
        const double hz = partial.multiple * sound.hz + partial.modulation * setting.grid.nominal_hz();
        return hz < setting.band.low_hz || hz > setting.band.high_hz;
    };
    for (NeighbourSound& sound : neighbour.sounds) {
        std::erase_if(sound.partials, [&](const Partial& partial) { return outside(sound, partial); });
        for (const Partial& partial : sound.partials)
            strongest_db = std::max(strongest_db, tone_to_noise_db(setting, sound, partial));
    }
    for (NeighbourSound& sound : neighbour.sounds)
        std::erase_if(sound.partials, [&](const Partial& partial) {
            return tone_to_noise_db(setting, sound, partial) < strongest_db - far_below_db;
        });
}

double strongest_of(const Setting& setting) {
    double strongest_db = -400.0;
    for (const NeighbourSound& sound : setting.neighbour.sounds)
        for (const Partial& partial : sound.partials)
            strongest_db = std::max(strongest_db, tone_to_noise_db(setting, sound, partial));
    return strongest_db;
}

Path path_of(const NeighbourSound& sound, const Path& mains_hz, double sample_rate_hz, Random& random) {
    if (sound.follows_mains) return mains_hz;
    const Movement& movement = sound.movement;
    const std::size_t samples = (mains_hz.size() - 2) * control_samples;
    const double middle = sound.hz * (1.0 + movement.between * random.cut_normal(2.0));
    const double trend = movement.trend * random.normal();
    const Path walk = smooth_walk(samples, sample_rate_hz, movement.sway_seconds, random);
    const double phase = random.uniform(0.0, 2.0 * std::numbers::pi);
    Path hz(mains_hz.size());
    for (std::size_t i = 0; i < hz.size(); ++i) {
        const double part = static_cast<double>(i) / static_cast<double>(hz.size()) - 0.5;
        const double seconds = static_cast<double>(i) * control_samples / sample_rate_hz;
        const double vibrato = std::sin(2.0 * std::numbers::pi * movement.vibrato_hz * seconds + phase);
        hz[i] = middle * (1.0 + trend * part + movement.sway * walk[i % walk.size()] + movement.vibrato * vibrato);
    }
    return hz;
}

/// Adds the sound as it stands before the room, and tells its lines.
void add_sound(std::span<double> to, const NeighbourSound& sound, const Setting& setting, const Path& mains_hz,
               double raise_db, int take, std::vector<TrueLine>& lines, Random& random) {
    const double fs = setting.room.sample_rate_hz, seconds = static_cast<double>(to.size()) / fs;
    Path path = path_of(sound, mains_hz, fs, random);
    Path on(path.size(), 1.0);
    double weight = 0.0;
    for (std::size_t i = 0; i < on.size(); ++i) {
        const double t = static_cast<double>(i) * control_samples / fs;
        if (sound.from_share > 0.0) on[i] = std::clamp((t - sound.from_share * seconds) / 0.05, 0.0, 1.0);
        if (sound.to_share < 1.0) on[i] *= std::clamp((sound.to_share * seconds - t) / 0.05, 0.0, 1.0);
        weight += on[i];
    }
    for (const Partial& partial : sound.partials) {
        Path hz = path;
        double mean_hz = 0.0, square_hz = 0.0;
        for (std::size_t i = 0; i < hz.size(); ++i) {
            hz[i] = setting.room.card_factor * (partial.multiple * path[i] + partial.modulation * mains_hz[i]);
            mean_hz += on[i] * hz[i] / weight;
        }
        for (std::size_t i = 0; i < hz.size(); ++i) square_hz += on[i] * std::pow(hz[i] - mean_hz, 2.0) / weight;
        const double mean_square = db_to_power(partial.level_db + raise_db + response_db(setting, mean_hz));
        Path amplitude = sound.movement.flutter > 0.0 ? smooth_walk(to.size(), fs, 0.5, random) : Path(hz.size());
        amplitude.resize(hz.size(), 0.0);
        for (std::size_t i = 0; i < amplitude.size(); ++i)
            amplitude[i] =
                on[i] * std::sqrt(2.0 * mean_square) * std::max(0.1, 1.0 + sound.movement.flutter * amplitude[i]);
        add_line(to, fs, hz, 1.0, amplitude, random.uniform(0.0, 2.0 * std::numbers::pi));

        TrueLine line;
        line.take = take;
        line.multiple = partial.multiple;
        line.hz = mean_hz;
        line.level_dbfs = mean_square_to_dbfs(mean_square);
        line.carrier_to_density_db_hz = power_to_db(mean_square / setting.room.density(mean_hz));
        line.tone_to_noise_db = line.carrier_to_density_db_hz - power_to_db(critical_band_hz(mean_hz));
        line.seconds = seconds * weight / static_cast<double>(on.size());
        line.steady = std::sqrt(square_hz) < 0.3 / seconds;
        lines.push_back(line);
    }
}

/// The room's hum, of the same grid as everything else that the mains drive.
NeighbourSound hum_of(const Room& room) {
    NeighbourSound hum;
    hum.follows_mains = true;
    hum.hz = room.mains_hz / room.card_factor;
    for (std::size_t k = 0; k < room.mains_amplitudes.size(); ++k) {
        const double multiple = static_cast<double>(k + 1);
        hum.partials.push_back({multiple, 0.0,
                                20.0 * std::log10(room.mains_amplitudes[k]) - power_to_db(2.0) -
                                    room.response_db(multiple * room.mains_hz)});
    }
    return hum;
}

/// One recording; time goes on by its length.
Recording record(Setting& setting, const NeighbourSound& hum, std::size_t samples, const std::string& name, int take,
                 std::vector<TrueLine>& lines, Random& random) {
    const double fs = setting.room.sample_rate_hz;
    // Sound was there before the recording began: let the walls fill.
    const auto before = static_cast<std::size_t>(setting.reverberation.decay_seconds() * fs);
    Signal neighbour(samples + before);
    const Path mains_hz = setting.grid.path(neighbour.size(), fs);
    if (setting.neighbour.new_each_time && take != 0) {
        setting.neighbour = draw_neighbour(setting.kind, setting.around, random);
        setting.neighbour.new_each_time = true;
        leave_out_the_inaudible(setting, setting.neighbour);
    }
    const double raise_db = setting.tone_to_noise_db - strongest_of(setting);
    for (const NeighbourSound& sound : setting.neighbour.sounds)
        add_sound(neighbour, sound, setting, mains_hz, raise_db, take, lines, random);
    std::vector<TrueLine> of_the_hum;
    add_sound(neighbour, hum, setting, mains_hz, 0.0, take, of_the_hum, random);
    add_commotion(neighbour, setting.neighbour.commotion, setting.commotion_rms, fs, random);
    if (setting.microphone_moves) setting.reverberation.move_microphone(random);
    setting.reverberation.run(neighbour);

    Signal signal = make_background(setting.room, samples, random);
    for (std::size_t i = 0; i < samples; ++i) signal[i] += neighbour[i + before];
    Recording recording;
    recording.samples = quantise_16_bit(signal);
    recording.sample_rate_hz = fs;
    recording.origin = name;
    recording.codec = "pcm_s16le";
    return recording;
}

/// How much nearer the microphone is to what stands 0.5 to 3 m from the board, 57 cm to any side.
double nearer_from_afar_db(Random& random) {
    const double metres = random.log_uniform(0.5, 3.0), aside = 0.57, towards = random.uniform(-1.0, 1.0);
    const double then = std::sqrt(metres * metres + aside * aside - 2.0 * metres * aside * towards);
    return 20.0 * std::log10(metres / std::max(then, 0.2));
}

void declare_states(Scene& scene, int takes, Random& random) {
    scene.sheet.states = {"idle", "active", "bright"};
    scene.sheet.states.resize(static_cast<std::size_t>(std::max(2, takes)));
    const int states = static_cast<int>(scene.sheet.states.size());
    for (Rate& rate : scene.sheet.rates)
        if (random.chance(0.5)) rate.active_in = {random.below(states)};
}

}  // namespace

const char* name_of(Neighbour kind) {
    constexpr const char* names[] = {"mains", "fan",        "motor",      "charger",   "clocked",
                                     "notes", "television", "oscillator", "commotion", "beside"};
    return names[static_cast<int>(kind)];
}

NeighbourScene make_neighbour_scene(std::uint64_t seed, const NeighbourAssumptions& assumptions) {
    NeighbourScene made;
    made.kind = assumptions.kind.value_or(static_cast<Neighbour>(seed % drawn_neighbours));
    // A board of its own for each kind, and none of make_scene's.
    Random random((seed << 4 | static_cast<std::uint64_t>(made.kind)) ^ 0x6e65696768626f72u);
    Random board_random = random.fork(), room_random = random.fork(), choice = random.fork(),
           neighbour_random = random.fork(), take_random = random.fork(), far_random = random.fork(),
           room_take_random = random.fork(), grid_random = random.fork();

    Scene& scene = made.scene;
    scene.seed = seed;
    scene.kind = SceneKind::undeclared;
    scene.undeclared = true;
    const double fs = choice.chance(0.6) ? 48000.0 : 44100.0;
    const double seconds = choice.uniform(5.0, 15.0);
    const auto samples = static_cast<std::size_t>(seconds * fs);
    const double card_factor = 1.0 + 1e-6 * 50.0 * choice.normal();
    const int takes = choice.between(1, 3);
    const bool states_said = choice.chance(0.5);
    const double drawn_mains_hz = choice.chance(0.5) ? 50.0 : 60.0;

    DrawnBoard board;
    do {
        board = draw_board(board_random.between(assumptions.fewest_rates, assumptions.most_rates), board_random);
    } while (!suits(board, made.kind, assumptions));
    scene.sheet = std::move(board.sheet);
    scene.timing = std::move(board.timing);
    if (states_said) declare_states(scene, takes, board_random);

    Room room = draw_room(fs, card_factor, room_random);
    const double mains_hz = room.mains_hz > 55.0 ? 60.0 : room.mains_hz > 0.0 ? 50.0 : drawn_mains_hz;
    NeighbourSound hum = hum_of(room);
    room.mains_hz = room.fan_hz = 0.0;
    room.music = false;
    if (made.kind == Neighbour::commotion) room.speech = room.typing = false;
    const Band band{60.0, std::min(18500.0, 0.44 * fs)};
    const Surroundings around{scene.sheet, scene.timing, assumptions, band, mains_hz};
    // Furnished rooms decay in 0.3 to 0.6 s, and a neighbour stands beyond the distance at which what the walls send
    // back is as loud as what comes straight (common practice).
    const double decay_seconds = choice.uniform(0.3, 0.6), drawn_direct_db = choice.uniform(-12.0, 0.0);
    const double direct_db = assumptions.dry ? 100.0 : drawn_direct_db;
    Setting setting{std::move(room),
                    band,
                    around,
                    made.kind,
                    draw_neighbour(made.kind, around, neighbour_random),
                    Reverberation(fs, decay_seconds, direct_db, choice),
                    choice.chance(0.5),
                    0.0,
                    0.0,
                    MainsGrid(mains_hz, grid_random)};
    leave_out_the_inaudible(setting, setting.neighbour);
    const auto& sounds = setting.neighbour.sounds;
    const bool moving = std::any_of(sounds.begin(), sounds.end(), moves);
    setting.tone_to_noise_db = made.tone_to_noise_db =
        choice.uniform(moving ? assumptions.moving_low_db : assumptions.steady_low_db, assumptions.high_db);
    const double commotion_db = choice.uniform(-5.0, 30.0);
    setting.commotion_rms = std::min(0.1, setting.room.noise_rms() * std::pow(10.0, commotion_db / 20.0));
    made.what = setting.neighbour.what;

    const auto pause = [](Setting& then, Random& chance) { then.grid.pass(chance.log_uniform(10.0, 300.0)); };
    for (int take = 0; take < takes; ++take) {
        if (take > 0) pause(setting, take_random);
        const std::string name = "neighbour " + std::to_string(seed) + " take " + std::to_string(take + 1);
        scene.takes.push_back({record(setting, hum, samples, name, take, scene.lines, take_random),
                               states_said ? scene.sheet.states[static_cast<std::size_t>(take)] : std::string()});
    }
    const auto once_more = [&](const char* name, std::vector<TrueLine>& lines, Random& chance, double nearer_db) {
        Setting then = setting;
        pause(then, chance);
        then.reverberation.move_microphone(chance);
        then.reverberation.change_direct(nearer_db);
        return record(then, hum, samples, "neighbour " + std::to_string(seed) + " " + name, takes, lines, chance);
    };
    if (assumptions.far)
        scene.far = {once_more("far", made.far_lines, far_random, nearer_from_afar_db(far_random)),
                     scene.takes[0].state};
    if (assumptions.room) scene.room = once_more("room", made.room_lines, room_take_random, 0.0);

    for (const TrueLine& line : scene.lines) scene.strongest_db = std::max(scene.strongest_db, line.tone_to_noise_db);
    char text[160];
    const bool has_lines = made.kind != Neighbour::commotion;
    std::snprintf(text, sizeof text, "%s, %s %+.0f dB, %d take%s of %.1f s%s", made.what.c_str(),
                  has_lines ? "strongest line" : "over the noise by", has_lines ? made.tone_to_noise_db : commotion_db,
                  takes, takes > 1 ? "s" : "", seconds, states_said ? ", states said" : "");
    scene.story = text;
    return made;
}

std::vector<int> rates_that_fit(const NeighbourScene& made) {
    constexpr int most_order = 4;
    constexpr double card_sds_ppm = 150.0;
    std::vector<int> fitting;
    if (made.scene.lines.empty()) return fitting;
    const TrueLine& strongest =
        *std::max_element(made.scene.lines.begin(), made.scene.lines.end(), [](const TrueLine& a, const TrueLine& b) {
            return std::pair(-a.take, a.tone_to_noise_db) < std::pair(-b.take, b.tone_to_noise_db);
        });
    for (std::size_t i = 0; i < made.scene.sheet.rates.size(); ++i) {
        const Rate& rate = made.scene.sheet.rates[i];
        for (int order = 1; order <= most_order; ++order) {
            const double hz = strongest.hz / order;
            const bool fits = rate.wanders()
                                  ? hz > rate.hz_min && hz < rate.hz_max
                                  : std::abs(hz / rate.hz - 1.0) < 1e-6 * (rate.tolerance_ppm + card_sds_ppm);
            if (!fits) continue;
            fitting.push_back(static_cast<int>(i));
            break;
        }
    }
    return fitting;
}

}  // namespace tattletone::scenes
