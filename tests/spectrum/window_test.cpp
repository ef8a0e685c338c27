// Figures of merit as F. J. Harris defines them ("On the use of windows for harmonic analysis with
// the discrete Fourier transform", Proc. IEEE 66(1), 1978, Table 1), recomputed for N → ∞ to more
// digits than his table has. For Blackman-Harris and Nuttall noise bandwidth, scalloping, -3 dB
// width and side lobe are also published with the coefficients in G. Heinzel, A. Rüdiger, R.
// Schilling, "Spectrum and spectral density estimation by the DFT", 2002.

#include "spectrum/window.h"
#include "support/names.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

using namespace tattletone;

namespace {

struct Figures {
    const CosineWindow* window;
    double noise_bandwidth, scalloping_db, width_3_db, width_6_db, side_lobe_db;
    double overlap_75, overlap_50;  ///< per cent
};

const Figures table[] = {
    {&rectangular_window, 1.0000, 3.9224, 0.8845, 1.2050, -13.26, 75.0, 50.0},
    {&hann_window, 1.5000, 1.4236, 1.4382, 1.9968, -31.47, 65.9, 16.7},
    {&hamming_window, 1.3628, 1.7514, 1.3008, 1.8123, -42.68, 70.7, 23.4},
    {&blackman_window, 1.7268, 1.0989, 1.6409, 2.2950, -58.11, 56.7, 9.0},
    // Harris prints 2.72 for the -6 dB width of this one; the calculation gives 2.66.
    {&blackman_harris_window, 2.0044, 0.8256, 1.8962, 2.6620, -92.01, 46.0, 3.8},
    {&nuttall_least_side_lobe_window, 1.9761, 0.8506, 1.8687, 2.6243, -98.17, 47.0, 4.2},
};

double response_db(const CosineWindow& window, double bins) {
    return 20.0 * std::log10(std::abs(response(window, bins)) + 1e-300);
}

double full_width(const CosineWindow& window, double down_db) {
    double low = 0.0, high = 2.0;
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (response_db(window, middle) > -down_db ? low : high) = middle;
    }
    return 2.0 * low;
}

/// Beyond the first null, which a sum of m cosines has at m bins.
double highest_side_lobe_db(const CosineWindow& window) {
    double highest = -400.0;
    for (double x = static_cast<double>(window.coefficients.size()); x < 40.0; x += 0.0005)
        highest = std::max(highest, response_db(window, x));
    return highest;
}

}  // namespace

TEST_CASE("windows have the published figures of merit") {
    for (const Figures& expected : table) {
        const CosineWindow& window = *expected.window;
        INFO(std::string(window.name));
        CHECK(noise_bandwidth_bins(window) == Approx(expected.noise_bandwidth).margin(0.00005));
        CHECK(scalloping_loss_db(window) == Approx(expected.scalloping_db).margin(0.00005));
        CHECK(full_width(window, 3.0) == Approx(expected.width_3_db).margin(0.00006));
        CHECK(full_width(window, 6.0) == Approx(expected.width_6_db).margin(0.00006));
        CHECK(highest_side_lobe_db(window) == Approx(expected.side_lobe_db).margin(0.006));
        CHECK(100.0 * overlap_correlation(window, 0.75) == Approx(expected.overlap_75).margin(0.06));
        CHECK(100.0 * overlap_correlation(window, 0.5) == Approx(expected.overlap_50).margin(0.06));
    }
}

TEST_CASE("worst-case processing loss is what Harris's definition gives") {
    const auto loss_db = [](const CosineWindow& window) {
        return scalloping_loss_db(window) + 10.0 * std::log10(noise_bandwidth_bins(window));
    };
    CHECK(loss_db(rectangular_window) == Approx(3.92).margin(0.006));
    CHECK(loss_db(hann_window) == Approx(3.18).margin(0.006));
    CHECK(loss_db(hamming_window) == Approx(3.10).margin(0.006));
    CHECK(loss_db(blackman_window) == Approx(3.47).margin(0.006));
    CHECK(loss_db(blackman_harris_window) == Approx(3.85).margin(0.006));
}

TEST_CASE("samples are of the periodic form and have the kernel as their transform") {
    for (const Figures& row : table) {
        const CosineWindow& window = *row.window;
        INFO(std::string(window.name));
        constexpr std::size_t size = 256;
        const std::vector<float> w = sample(window, size);
        REQUIRE(w.size() == size);
        // w[n] = w[N - n], the top in the middle at N/2, not between two samples: "DFT-even"
        // (Harris).
        for (std::size_t n = 1; n < size; ++n) CHECK(w[n] == Approx(w[size - n]).margin(1e-6));
        CHECK(*std::max_element(w.begin(), w.end()) == w[size / 2]);
        // At whole bins the transform of N samples is exactly a_m / 2.
        for (std::size_t k = 0; k < 6; ++k) {
            double re = 0.0, im = 0.0;
            for (std::size_t n = 0; n < size; ++n) {
                const double angle = 2.0 * 3.141592653589793 * static_cast<double>(k * n) / size;
                re += w[n] * std::cos(angle) / size;
                im += w[n] * std::sin(angle) / size;
            }
            const double a = k < window.coefficients.size() ? window.coefficients[k] : 0.0;
            const double expected = k == 0 ? a : (k % 2 == 0 ? 0.5 : -0.5) * a;
            CHECK(re == Approx(expected).margin(1e-6));
            CHECK(im == Approx(0.0).margin(1e-6));
        }
    }
}
