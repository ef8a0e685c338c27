#include "sound/small_transform.h"

#include <cmath>
#include <numbers>
#include <utility>

namespace tattletone {

SmallTransform::SmallTransform(std::size_t size) : reversed_(size), turns_(size / 2) {
    for (std::size_t i = 1, j = 0; i < size; ++i) {
        std::size_t bit = size >> 1;
        for (; (j & bit) != 0; bit >>= 1) j ^= bit;
        j ^= bit;
        reversed_[i] = j;
    }
    for (std::size_t i = 0; i < turns_.size(); ++i) {
        const double angle =
            -2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(size);
        turns_[i] = {static_cast<float>(std::cos(angle)), static_cast<float>(std::sin(angle))};
    }
}

void SmallTransform::run(std::span<std::complex<float>> data) const {
    const std::size_t size = reversed_.size();
    for (std::size_t i = 0; i < size; ++i) {
        if (i < reversed_[i]) std::swap(data[i], data[reversed_[i]]);
    }
    for (std::size_t half = 1; half < size; half *= 2) {
        const std::size_t step = size / (2 * half);
        for (std::size_t start = 0; start < size; start += 2 * half) {
            for (std::size_t k = 0; k < half; ++k) {
                const std::complex<float> turn = turns_[k * step];
                std::complex<float>& a = data[start + k];
                std::complex<float>& b = data[start + k + half];
                const std::complex<float> t(b.real() * turn.real() - b.imag() * turn.imag(),
                                            b.real() * turn.imag() + b.imag() * turn.real());
                b = a - t;
                a += t;
            }
        }
    }
}

}  // namespace tattletone
