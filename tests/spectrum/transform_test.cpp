#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "spectrum/transform.h"
#include "support/names.h"
#include "support/random.h"

using namespace tattletone;

namespace {

/// The definition itself, in double precision.
std::vector<std::complex<double>> naive_transform(const std::vector<float>& samples) {
    const std::size_t size = samples.size();
    std::vector<std::complex<double>> bins(size / 2 + 1);
    for (std::size_t k = 0; k < bins.size(); ++k)
        for (std::size_t n = 0; n < size; ++n)
            bins[k] += static_cast<double>(samples[n]) *
                       std::polar(1.0, -2.0 * std::numbers::pi * static_cast<double>(k * n % size) /
                                           static_cast<double>(size));
    return bins;
}

std::size_t fast_size_by_search(std::size_t n) {
    for (std::size_t size = n - n % 2; size > 2; size -= 2) {
        std::size_t rest = size;
        for (const std::size_t factor : {2u, 3u, 5u})
            while (rest % factor == 0) rest /= factor;
        if (rest == 1) return size;
    }
    return 2;
}

}  // namespace

TEST_CASE("the transform is the sum that defines it") {
    for (const std::size_t size : {2u, 4u, 6u, 10u, 16u, 30u, 48u, 90u, 128u, 250u, 486u, 960u, 1024u}) {
        const std::uint64_t seed = 100 + size;
        INFO("size " << size << ", seed " << seed);
        scenes::Random random(seed);
        std::vector<float> samples(size);
        for (float& x : samples) x = static_cast<float>(random.normal());
        RealTransform transform(size);
        REQUIRE(transform.size() == size);
        REQUIRE(transform.bins() == size / 2 + 1);
        std::vector<std::complex<float>> bins(transform.bins());
        transform.forward(samples, bins);
        const auto expected = naive_transform(samples);
        // Rounding of single precision grows as the root of the number of stages.
        const double allowed = 1e-6 * std::sqrt(static_cast<double>(size));
        for (std::size_t k = 0; k < bins.size(); ++k) {
            INFO("bin " << k);
            CHECK(std::abs(std::complex<double>(bins[k]) - expected[k]) <= allowed);
        }
    }
}

TEST_CASE("a moved transform transforms, and twice the same gives twice the same") {
    RealTransform first(60);
    RealTransform transform(std::move(first));
    std::vector<float> samples(60, 0.0f);
    samples[0] = 1.0f;  // an impulse has a flat spectrum
    std::vector<std::complex<float>> once(transform.bins()), again(transform.bins());
    transform.forward(samples, once);
    transform.forward(samples, again);
    for (std::size_t k = 0; k < once.size(); ++k) {
        CHECK(std::abs(once[k] - std::complex<float>(1.0f)) < 1e-6f);
        CHECK(once[k] == again[k]);
    }
}

TEST_CASE("fast sizes are the largest even products of 2, 3 and 5") {
    for (std::size_t n = 0; n <= 5000; ++n)
        if (fast_size_at_most(n) != fast_size_by_search(n)) {
            INFO("n " << n);
            CHECK(fast_size_at_most(n) == fast_size_by_search(n));
        }
    for (const std::size_t n : {47999u, 48000u, 48001u, 441000u, 959999u, 1323000u}) {
        INFO("n " << n);
        CHECK(fast_size_at_most(n) == fast_size_by_search(n));
    }
}
