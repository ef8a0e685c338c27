#pragma once

#include <cmath>
#include <cstdint>
#include <iterator>
#include <numbers>

namespace tattletone::scenes {

/// xoshiro256** (D. Blackman and S. Vigna, 2018), seeded by splitmix64, with every distribution written
/// out: the standard library's differ from maker to maker. Same seed, same numbers everywhere, but for
/// the last digit of log, sin and cos.
class Random {
  public:
    explicit Random(std::uint64_t seed) {
        for (auto& word : state_) {
            seed += 0x9e3779b97f4a7c15u;
            std::uint64_t z = seed;
            z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
            z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
            word = z ^ (z >> 31);
        }
    }

    std::uint64_t bits() {
        const std::uint64_t result = rotate(state_[1] * 5, 7) * 9;
        const std::uint64_t shifted = state_[1] << 17;
        state_[2] ^= state_[0];
        state_[3] ^= state_[1];
        state_[1] ^= state_[2];
        state_[0] ^= state_[3];
        state_[2] ^= shifted;
        state_[3] = rotate(state_[3], 45);
        return result;
    }

    /// In [0, 1).
    double uniform() { return static_cast<double>(bits() >> 11) * 0x1p-53; }
    double uniform(double low, double high) { return low + (high - low) * uniform(); }
    double log_uniform(double low, double high) { return low * std::pow(high / low, uniform()); }
    /// 0 … count - 1.
    int below(int count) { return static_cast<int>(uniform() * count); }
    int between(int low, int high) { return low + below(high - low + 1); }
    bool chance(double probability) { return uniform() < probability; }

    template <class List>
    const auto& pick(const List& of) {
        return of[static_cast<std::size_t>(below(static_cast<int>(std::size(of))))];
    }

    /// Mean 0, variance 1 (Box and Muller 1958).
    double normal() {
        if (has_spare_) {
            has_spare_ = false;
            return spare_;
        }
        const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
        const double angle = 2.0 * std::numbers::pi * uniform();
        spare_ = radius * std::sin(angle);
        has_spare_ = true;
        return radius * std::cos(angle);
    }

    /// Normal, drawn again outside ±limit.
    double cut_normal(double limit) {
        double value = normal();
        while (std::abs(value) > limit) value = normal();
        return value;
    }

    /// An independent stream: what one part of a scene draws does not shift the others.
    Random fork() { return Random(bits()); }

  private:
    static std::uint64_t rotate(std::uint64_t x, int k) { return (x << k) | (x >> (64 - k)); }
    std::uint64_t state_[4] = {};
    double spare_ = 0.0;
    bool has_spare_ = false;
};

}  // namespace tattletone::scenes
