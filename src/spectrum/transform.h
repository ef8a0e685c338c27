#pragma once

#include <complex>
#include <cstddef>
#include <memory>
#include <span>

namespace tattletone::spectrum {

/// Forward Fourier transform of real samples, X[k] = sum x[n] exp(-2 pi i k n / N), unscaled, for
/// k = 0 … N/2. N is even and has no prime factor above 5 (`fast_size_at_most`); other sizes make
/// KissFFT allocate on every call. All allocation is in the constructor. One object serves one thread.
class RealTransform {
  public:
    explicit RealTransform(std::size_t size);
    ~RealTransform();
    RealTransform(RealTransform&&) noexcept;
    RealTransform& operator=(RealTransform&&) noexcept;

    std::size_t size() const { return size_; }
    std::size_t bins() const { return size_ / 2 + 1; }
    /// `samples` holds size() values, `spectrum` bins(); they must not overlap.
    void forward(std::span<const float> samples, std::span<std::complex<float>> spectrum);

  private:
    struct Plan;
    std::unique_ptr<Plan> plan_;
    std::size_t size_;
};

/// The same of complex samples, k = 0 … N-1; any N without prime factors above 5.
class ComplexTransform {
  public:
    explicit ComplexTransform(std::size_t size);
    ~ComplexTransform();
    ComplexTransform(const ComplexTransform&) = delete;
    ComplexTransform& operator=(const ComplexTransform&) = delete;

    /// Both hold N values and must not overlap.
    void forward(std::span<const std::complex<float>> samples, std::span<std::complex<float>> spectrum);

  private:
    struct Plan;
    std::unique_ptr<Plan> plan_;
    std::size_t size_;
};

/// A transform of this size that the calling thread keeps: making a plan costs as much as using it.
/// A thread keeps the four sizes last asked for; the reference holds until four other sizes were.
RealTransform& kept_transform(std::size_t size);

/// Largest even 2^a 3^b 5^c that is not above `n`; 2 where there is none.
std::size_t fast_size_at_most(std::size_t n);
/// Smallest 2^a 3^b 5^c that is not below `n`.
std::size_t fast_size_at_least(std::size_t n);

}  // namespace tattletone::spectrum
