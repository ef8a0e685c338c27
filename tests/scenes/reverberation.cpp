#include "scenes/reverberation.h"

#include <cmath>
#include <vector>

#include "support/names.h"

namespace tattletone::scenes {

Reverberation::Reverberation(double sample_rate_hz, double decay_seconds, double direct_db, Random& random)
    : sample_rate_hz_(sample_rate_hz), decay_seconds_(decay_seconds), direct_db_(direct_db) {
    for (std::size_t i = 0; i < delay_lines; ++i) {
        const double seconds = random.uniform(0.035, 0.095);
        length_[i] = static_cast<std::size_t>(seconds * sample_rate_hz) | 1u;
        kept_[i] = std::pow(10.0, -3.0 * static_cast<double>(length_[i]) / sample_rate_hz / decay_seconds);
        in_[i] = random.normal();
    }
    move_microphone(random);
}

void Reverberation::move_microphone(Random& random) {
    for (double& weight : out_) weight = random.normal();
    direct_ = 0.0;
    reverberant_ = 1.0;
    std::vector<double> impulse(static_cast<std::size_t>(2.0 * decay_seconds_ * sample_rate_hz_));
    impulse[0] = 1.0;
    run(impulse);
    double energy = 0.0;
    for (const double value : impulse) energy += value * value;
    const double direct = std::pow(10.0, direct_db_ / 10.0);
    direct_ = std::sqrt(direct / (1.0 + direct));
    reverberant_ = std::sqrt(1.0 / ((1.0 + direct) * energy));
}

void Reverberation::change_direct(double db) {
    direct_ *= std::pow(10.0, db / 20.0);
}

void Reverberation::run(std::span<double> signal) const {
    std::array<std::vector<double>, delay_lines> delay;
    std::array<std::size_t, delay_lines> at{};
    for (std::size_t i = 0; i < delay_lines; ++i) delay[i].assign(length_[i], 0.0);
    for (double& value : signal) {
        double heard = 0.0, sum = 0.0;
        std::array<double, delay_lines> back;
        for (std::size_t i = 0; i < delay_lines; ++i) {
            const double now = delay[i][at[i]];
            heard += out_[i] * now;
            back[i] = kept_[i] * now;
            sum += back[i];
        }
        // A Householder reflection: what comes out of one line goes into all, and nothing is gained or lost.
        const double shared = 2.0 * sum / static_cast<double>(delay_lines);
        for (std::size_t i = 0; i < delay_lines; ++i) {
            delay[i][at[i]] = in_[i] * value + back[i] - shared;
            if (++at[i] == length_[i]) at[i] = 0;
        }
        value = direct_ * value + reverberant_ * heard;
    }
}

}  // namespace tattletone::scenes
