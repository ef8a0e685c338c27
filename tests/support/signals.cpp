#include "support/signals.h"
#include "support/names.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace tattletone::scenes {

namespace {
constexpr double tau = 2.0 * std::numbers::pi;

Biquad scaled(double b0, double b1, double b2, double a0, double a1, double a2) {
    return {b0 / a0, b1 / a0, b2 / a0, a1 / a0, a2 / a0};
}
}  // namespace

std::size_t path_length(std::size_t samples) {
    return samples / control_samples + 2;
}

Path constant_path(std::size_t samples, double value) {
    return Path(path_length(samples), value);
}

Path smooth_walk(std::size_t samples, double sample_rate_hz, double seconds, Random& random) {
    const double step_seconds = control_samples / sample_rate_hz;
    const double keep = std::exp(-step_seconds / seconds);
    const double kick = std::sqrt(1.0 - keep * keep);
    const double keep_smooth = std::exp(-step_seconds / (0.2 * seconds));
    Path path(path_length(samples));
    double walk = random.normal();
    double smooth = walk;
    for (double& value : path) {
        value = smooth;
        walk = keep * walk + kick * random.normal();
        smooth = keep_smooth * smooth + (1.0 - keep_smooth) * walk;
    }
    return path;
}

double mean_of(const Path& path) {
    double sum = 0.0;
    for (const double value : path) sum += value;
    return sum / static_cast<double>(path.size());
}

void add_line(std::span<double> to, double sample_rate_hz, const Path& hz, double multiple, const Path& amplitude,
              double phase) {
    std::size_t at = 0;
    for (std::size_t block = 0; at < to.size(); ++block) {
        const std::size_t length = std::min<std::size_t>(control_samples, to.size() - at);
        const double step = tau * multiple * 0.5 * (hz[block] + hz[block + 1]) / sample_rate_hz;
        const double slope = (amplitude[block + 1] - amplitude[block]) / control_samples;
        double level = amplitude[block];
        if (level != 0.0 || slope != 0.0) {
            std::complex<double> phasor = std::polar(1.0, phase);
            const double turn_re = std::cos(step), turn_im = std::sin(step);
            for (std::size_t i = 0; i < length; ++i) {
                to[at + i] += level * phasor.real();
                level += slope;
                phasor = {phasor.real() * turn_re - phasor.imag() * turn_im,
                          phasor.real() * turn_im + phasor.imag() * turn_re};
            }
        }
        phase = std::fmod(phase + step * static_cast<double>(length), tau);
        at += length;
    }
}

void add_line(std::span<double> to, double sample_rate_hz, double hz, double amplitude, double phase) {
    add_line(to, sample_rate_hz, constant_path(to.size(), hz), 1.0, constant_path(to.size(), amplitude), phase);
}

void add_family(std::span<double> to, double sample_rate_hz, std::span<const double> hz_each_sample,
                std::span<const double> amplitude_each_sample, std::span<const double> weights) {
    double phase = 0.0;
    for (std::size_t i = 0; i < to.size(); ++i) {
        phase = std::fmod(phase + tau * hz_each_sample[i] / sample_rate_hz, tau);
        if (amplitude_each_sample[i] == 0.0) continue;
        const double twice_cosine = 2.0 * std::cos(phase);
        double before = 1.0, now = 0.5 * twice_cosine, sum = 0.0;
        for (const double weight : weights) {
            sum += weight * now;
            const double next = twice_cosine * now - before;
            before = now;
            now = next;
        }
        to[i] += amplitude_each_sample[i] * sum;
    }
}

Biquad Biquad::low_pass(double hz, double q, double sample_rate_hz) {
    const double w = tau * hz / sample_rate_hz, alpha = std::sin(w) / (2.0 * q), c = std::cos(w);
    return scaled(0.5 * (1.0 - c), 1.0 - c, 0.5 * (1.0 - c), 1.0 + alpha, -2.0 * c, 1.0 - alpha);
}

Biquad Biquad::high_pass(double hz, double q, double sample_rate_hz) {
    const double w = tau * hz / sample_rate_hz, alpha = std::sin(w) / (2.0 * q), c = std::cos(w);
    return scaled(0.5 * (1.0 + c), -1.0 - c, 0.5 * (1.0 + c), 1.0 + alpha, -2.0 * c, 1.0 - alpha);
}

Biquad Biquad::band_pass(double hz, double q, double sample_rate_hz) {
    const double w = tau * hz / sample_rate_hz, alpha = std::sin(w) / (2.0 * q), c = std::cos(w);
    return scaled(alpha, 0.0, -alpha, 1.0 + alpha, -2.0 * c, 1.0 - alpha);
}

Biquad Biquad::peak(double hz, double q, double gain_db, double sample_rate_hz) {
    const double w = tau * hz / sample_rate_hz, alpha = std::sin(w) / (2.0 * q), c = std::cos(w);
    const double a = std::pow(10.0, gain_db / 40.0);
    return scaled(1.0 + alpha * a, -2.0 * c, 1.0 - alpha * a, 1.0 + alpha / a, -2.0 * c, 1.0 - alpha / a);
}

Biquad Biquad::first_order_low_pass(double hz, double sample_rate_hz) {
    const double k = std::tan(0.5 * tau * hz / sample_rate_hz);
    return {k / (1.0 + k), k / (1.0 + k), 0.0, (k - 1.0) / (k + 1.0), 0.0};
}

double Biquad::power_at(double hz, double sample_rate_hz) const {
    const std::complex<double> z = std::polar(1.0, -tau * hz / sample_rate_hz);
    return std::norm((b0 + z * (b1 + z * b2)) / (1.0 + z * (a1 + z * a2)));
}

void Biquad::run(std::span<double> signal) const {
    double s1 = 0.0, s2 = 0.0;
    for (double& x : signal) {
        const double y = b0 * x + s1;
        s1 = b1 * x - a1 * y + s2;
        s2 = b2 * x - a2 * y;
        x = y;
    }
}

double NoiseSource::density(double hz, double sample_rate_hz) const {
    double power = rms * rms / (0.5 * sample_rate_hz);
    for (const Biquad& filter : filters) power *= filter.power_at(hz, sample_rate_hz);
    return power;
}

void NoiseSource::add_to(std::span<double> to, Random& random) const {
    constexpr std::size_t run_in = 4096;
    Signal noise(to.size() + run_in);
    for (double& value : noise) value = rms * random.normal();
    for (const Biquad& filter : filters) filter.run(noise);
    for (std::size_t i = 0; i < to.size(); ++i) to[i] += noise[i + run_in];
}

double critical_band_hz(double hz) {
    const double khz = hz / 1000.0;
    return 25.0 + 75.0 * std::pow(1.0 + 1.4 * khz * khz, 0.69);
}

std::vector<float> quantise_16_bit(std::span<const double> signal) {
    std::vector<float> samples(signal.size());
    for (std::size_t i = 0; i < signal.size(); ++i) {
        const double rounded = std::clamp(std::floor(signal[i] * 32768.0 + 0.5), -32768.0, 32767.0);
        samples[i] = static_cast<float>(rounded / 32768.0);
    }
    return samples;
}

}  // namespace tattletone::scenes
