#pragma once

#include <complex>
#include <span>
#include <vector>

namespace tattletone {

/// A plain radix-2 transform for choosing among channels; the analysis has its own in spectrum/,
/// which stands behind this folder.
class SmallTransform {
  public:
    explicit SmallTransform(std::size_t size);  ///< a power of two
    void run(std::span<std::complex<float>> data) const;
    std::size_t size() const { return reversed_.size(); }

  private:
    std::vector<std::size_t> reversed_;
    std::vector<std::complex<float>> turns_;
};

}  // namespace tattletone
