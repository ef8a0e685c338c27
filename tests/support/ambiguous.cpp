#include "support/ambiguous.h"

#include <algorithm>
#include <cmath>

#include "support/names.h"
#include "support/room.h"

namespace tattletone::scenes {

namespace {

constexpr double clock_values[] = {976.5625, 1953.125, 3906.25, 2400, 4800, 3200, 1000, 8000, 2604.1667};
constexpr double multiples[] = {1.0, 1.0, 1.0, 2.0, 0.5, 3.0};
constexpr const char* names[] = {"lamp", "ranger", "screen", "pump", "bus", "valve", "clock", "heater"};

void add_rate(BoardSheet& sheet, Rate rate) {
    const std::string name = names[sheet.parts.size()];
    Part part;
    part.id = part.name = name;
    part.spot = "by the " + name;
    rate.id = "drive";
    rate.full_name = name + ".drive";
    rate.part = static_cast<int>(sheet.parts.size());
    sheet.parts.push_back(part);
    sheet.rates.push_back(std::move(rate));
}

}  // namespace

AmbiguousUnit::AmbiguousUnit(std::uint64_t seed) : seed_(seed) {
    Random random(seed);
    sheet_.name = "Ambiguous";
    sheet_.states = {"idle", "active", "busy"};
    const double hz = random.pick(clock_values);
    const bool crystals = random.chance(0.65);
    const int rivals = random.between(2, 4);
    const auto shape = [&] { return random.chance(0.5) ? Shape::square : Shape::pulse; };
    for (int i = 0; i < rivals; ++i) {
        Rate rate;
        rate.shape = shape();
        rate.hz = hz * (i == 0 ? 1.0 : random.pick(multiples));
        rate.tolerance_ppm = crystals ? 50.0 : random.chance(0.5) ? 20000.0 : 30000.0;
        if (!crystals) rate.hz = std::round(rate.hz * (1.0 + random.uniform(-0.01, 0.01)));
        rate.adjustable = crystals && random.chance(0.5);
        add_rate(sheet_, rate);
        timing_.push_back(crystals ? Timing::crystal : Timing::resistor_capacitor);
    }
    if (random.chance(0.4)) {
        Rate rate;
        rate.hz_min = 0.4 * hz;
        rate.hz_max = 6.0 * hz;
        add_rate(sheet_, rate);
        timing_.push_back(Timing::wandering);
    }
    for (int i = 0; i < 2; ++i) {  // bystanders
        Rate rate;
        rate.shape = shape();
        rate.hz = std::round(random.log_uniform(700.0, 9000.0));
        rate.tolerance_ppm = 50.0;
        add_rate(sheet_, rate);
        timing_.push_back(Timing::crystal);
    }
    culprit_ = random.below(static_cast<int>(sheet_.rates.size()) - 2);
    for (Rate& rate : sheet_.rates) {
        if (random.chance(0.25)) continue;
        for (int state = 0; state < 3; ++state)
            if (random.chance(0.6)) rate.active_in.push_back(state);
        if (rate.active_in.empty()) rate.active_in.push_back(random.below(3));
        if (rate.active_in.size() == 3) rate.active_in.clear();
    }
    const Rate& guilty = sheet_.rates[static_cast<std::size_t>(culprit_)];
    first_state_ = guilty.active_in.empty() ? random.below(3) : random.pick(guilty.active_in);
    true_hz_ = guilty.wanders() ? random.log_uniform(1.2 * guilty.hz_min, 0.8 * guilty.hz_max)
                                : guilty.hz * (1.0 + 0.5e-6 * guilty.tolerance_ppm * random.cut_normal(2.0));
    tone_to_noise_db_ = random.uniform(0.0, 20.0);
    card_ppm_ = 50.0 * random.normal();
}

Recording AmbiguousUnit::record(const Condition& condition, std::uint64_t take) const {
    Random random(seed_ * 1000 + take), room_random(seed_ + 1), board_random(seed_ + 2);
    const double fs = condition.sample_rate_hz, card = 1.0 + 1e-6 * card_ppm_;
    const Room room = draw_room(fs, card, room_random);
    const Resonances resonances(8.0, board_random);
    const auto samples = static_cast<std::size_t>(condition.seconds * fs);
    Signal signal = make_background(room, samples, random);

    const Rate& rate = sheet_.rates[static_cast<std::size_t>(culprit_)];
    bool runs = sheet_.active(rate, condition.state) && condition.part_off != rate.part && !condition.board_unpowered &&
                random.chance(0.95);
    if (condition.rate_off == culprit_ && random.chance(0.8)) runs = false;
    if (runs) {
        double hz = true_hz_;
        if (condition.changed_rate == culprit_) hz *= condition.changed_hz / rate.hz;
        if (rate.wanders()) hz *= 1.0 + 0.01 * random.normal();
        const Timing timing = timing_[static_cast<std::size_t>(culprit_)];
        Voice voice;
        voice.rate = culprit_;
        voice.steady = timing == Timing::crystal;
        voice.hz = draw_path(timing, hz * card, samples, fs, 1.0, random);
        Random lines_random(seed_ + 3);  // the drive has the same harmonics every time
        voice.lines = draw_lines(rate.shape, hz, resonances, room, {60.0, std::min(18500.0, 0.44 * fs)}, lines_random);
        double level = tone_to_noise_db_ + 3.0 * random.normal();
        if (!condition.spot.empty()) level += 5.7 * random.normal();
        if (condition.spot == sheet_.parts[static_cast<std::size_t>(rate.part)].spot) level += 6.0;
        level -= condition.fall_db;
        if (!voice.lines.empty()) add_voice(signal, voice, level, room, 0, random);
    }
    Recording recording;
    recording.samples = quantise_16_bit(signal);
    recording.sample_rate_hz = fs;
    recording.origin = "unit " + std::to_string(seed_) + " take " + std::to_string(take);
    recording.codec = "pcm_s16le";
    return recording;
}

}  // namespace tattletone::scenes
