#include "support/room.h"
#include "support/names.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/decibels.h"
#include "support/events.h"

namespace tattletone::scenes {

namespace {

/// White noise of the given one-sided density, in dBFS per Hz.
double rms_for(double dbfs_per_hz, double sample_rate_hz) {
    return std::sqrt(dbfs_to_mean_square(dbfs_per_hz) * 0.5 * sample_rate_hz);
}

void draw_noise(Room& room, Random& random) {
    const double fs = room.sample_rate_hz;
    const double white_db = random.uniform(-122.0, -100.0);
    const Biquad low_end = Biquad::high_pass(random.log_uniform(20.0, 90.0), 0.7, fs);
    const Biquad roll_off = Biquad::low_pass(std::min(random.uniform(15000.0, 22000.0), 0.45 * fs), 0.7, fs);
    const Biquad bump =
        Biquad::peak(random.uniform(8000.0, 16000.0), random.uniform(0.8, 2.5), random.uniform(0.0, 9.0), fs);
    room.microphone = {low_end, bump, roll_off};

    room.noise.push_back({rms_for(white_db, fs), {low_end, bump, roll_off}});
    room.noise.push_back({rms_for(white_db - random.uniform(6.0, 20.0), fs), {}});
    room.noise.push_back({rms_for(white_db + random.uniform(8.0, 20.0), fs),
                          {low_end, Biquad::first_order_low_pass(random.log_uniform(120.0, 500.0), fs)}});
    room.noise.push_back({rms_for(white_db + random.uniform(15.0, 30.0), fs),
                          {low_end, Biquad::low_pass(random.log_uniform(60.0, 160.0), 0.6, fs)}});
    room.noise.push_back({rms_for(white_db + random.uniform(-6.0, 10.0), fs),
                          {low_end, Biquad::first_order_low_pass(random.log_uniform(500.0, 3000.0), fs)}});
    if (room.rain)
        room.noise.push_back({rms_for(white_db + random.uniform(5.0, 18.0), fs),
                              {low_end, Biquad::band_pass(random.uniform(2500.0, 6000.0), 0.5, fs), roll_off}});
    if (room.fan_hz > 0.0)
        room.noise.push_back({rms_for(white_db + random.uniform(5.0, 20.0), fs),
                              {low_end, Biquad::low_pass(random.log_uniform(300.0, 1800.0), 0.6, fs)}});
}

/// Amplitude of a line that stands `tone_to_noise_db` over the noise of its critical band.
double amplitude_over_noise(const Room& room, double hz, double tone_to_noise_db) {
    return std::sqrt(2.0 * room.density(hz) * critical_band_hz(hz) * db_to_power(tone_to_noise_db));
}

void draw_mains(Room& room, Random& random) {
    const double nominal = random.chance(0.5) ? 50.0 : 60.0;
    room.mains_hz = (nominal + 0.015 * random.normal()) * room.card_factor;
    const bool even = random.chance(0.5);
    const double strongest_db = random.uniform(0.0, 22.0);
    const double fall_db = random.uniform(2.0, 9.0);
    const int lines = random.between(5, 40);
    for (int k = 1; k <= lines; ++k) {
        const bool favoured = even ? k % 2 == 0 : k % 2 == 1;
        const double db = strongest_db - fall_db * std::log2(k) - (favoured ? 0.0 : 15.0) + 4.0 * random.normal();
        room.mains_amplitudes.push_back(amplitude_over_noise(room, k * room.mains_hz, db));
    }
}

void draw_fan(Room& room, Random& random) {
    room.fan_hz = random.log_uniform(70.0, 450.0) * room.card_factor;
    room.fan_wobble = random.log_uniform(5e-4, 8e-3);
}

void draw_fan_lines(Room& room, Random& random) {
    const double strongest_db = random.uniform(-3.0, 15.0);
    const int lines = random.between(1, 8);
    for (int k = 1; k <= lines; ++k)
        room.fan_amplitudes.push_back(
            amplitude_over_noise(room, k * room.fan_hz, strongest_db - 5.0 * std::log2(k) + 4.0 * random.normal()));
}

}  // namespace

double Room::density(double hz) const {
    constexpr double half_step_squared = 1.0 / (12.0 * 32768.0 * 32768.0);
    double sum = half_step_squared / (0.5 * sample_rate_hz);
    for (const NoiseSource& source : noise) sum += source.density(hz, sample_rate_hz);
    return sum;
}

double Room::response_db(double hz) const {
    double db = 0.0;
    for (const Biquad& filter : microphone) db += power_to_db(filter.power_at(hz, sample_rate_hz));
    return db;
}

double Room::noise_rms() const {
    constexpr double step_hz = 20.0;
    double power = 0.0;
    for (double hz = 0.5 * step_hz; hz < 0.5 * sample_rate_hz; hz += step_hz) power += step_hz * density(hz);
    return std::sqrt(power);
}

Room draw_room(double sample_rate_hz, double card_factor, Random& random) {
    // Some filters stand at 18 kHz; over half the sample rate a filter makes no number of anything.
    if (sample_rate_hz < 40000.0)
        throw std::invalid_argument("draw_room: a room needs a sample rate of 40 kHz or more");
    Room room;
    room.sample_rate_hz = sample_rate_hz;
    room.card_factor = card_factor;
    room.rain = random.chance(0.05);
    room.speech = random.chance(0.15);
    room.music = random.chance(0.06);
    room.typing = random.chance(0.12);
    room.knocks = random.chance(0.12);
    if (random.chance(0.35)) draw_fan(room, random);
    draw_noise(room, random);
    if (random.chance(0.5)) draw_mains(room, random);
    if (room.fan_hz > 0.0) draw_fan_lines(room, random);
    room.speech_db = random.uniform(0.0, 25.0);
    room.music_db = random.uniform(0.0, 20.0);
    room.typing_db = random.uniform(15.0, 40.0);
    room.knocks_db = random.uniform(10.0, 35.0);
    room.rain_db = random.uniform(5.0, 20.0);
    return room;
}

Signal make_background(const Room& room, std::size_t samples, Random& random) {
    Signal signal(samples);
    const double fs = room.sample_rate_hz;
    for (const NoiseSource& source : room.noise) source.add_to(signal, random);

    if (room.mains_hz > 0.0) {
        Path hz = smooth_walk(samples, fs, 8.0, random);
        for (double& value : hz) value = room.mains_hz + 0.006 * value;
        for (std::size_t k = 0; k < room.mains_amplitudes.size(); ++k)
            add_line(signal, fs, hz, static_cast<double>(k + 1), constant_path(samples, room.mains_amplitudes[k]),
                     random.uniform(0.0, 6.283));
    }
    if (room.fan_hz > 0.0) {
        Path hz = smooth_walk(samples, fs, random.log_uniform(0.5, 4.0), random);
        for (double& value : hz) value = room.fan_hz * (1.0 + room.fan_wobble * value);
        for (std::size_t k = 0; k < room.fan_amplitudes.size(); ++k) {
            Path amplitude = smooth_walk(samples, fs, 0.5, random);
            for (double& value : amplitude) value = room.fan_amplitudes[k] * std::max(0.1, 1.0 + 0.25 * value);
            add_line(signal, fs, hz, static_cast<double>(k + 1), amplitude, random.uniform(0.0, 6.283));
        }
    }
    const double rms = room.noise_rms();
    const auto level = [rms](double db) { return std::min(0.2, rms * std::pow(10.0, db / 20.0)); };
    if (room.speech) add_speech(signal, fs, level(room.speech_db), random);
    if (room.music) add_music(signal, fs, level(room.music_db), random);
    if (room.typing) add_typing(signal, fs, level(room.typing_db), random);
    if (room.knocks) add_knocks(signal, fs, level(room.knocks_db), random);
    if (room.rain) add_drops(signal, fs, level(room.rain_db), random);
    return signal;
}

}  // namespace tattletone::scenes
