#include "spectrum/transform.h"

#include <kiss_fftr.h>

#include <cassert>
#include <list>
#include <new>

namespace tattletone::spectrum {

template <class Config>
struct OwnedPlan {
    explicit OwnedPlan(Config made) : config(made) {
        if (!config) throw std::bad_alloc();
    }
    ~OwnedPlan() { kiss_fft_free(config); }  // of both kinds of plan
    OwnedPlan(const OwnedPlan&) = delete;
    OwnedPlan& operator=(const OwnedPlan&) = delete;
    Config config;
};

struct RealTransform::Plan : OwnedPlan<kiss_fftr_cfg> {
    explicit Plan(std::size_t size) : OwnedPlan(kiss_fftr_alloc(static_cast<int>(size), 0, nullptr, nullptr)) {}
};

RealTransform::RealTransform(std::size_t size) : plan_(std::make_unique<Plan>(size)), size_(size) {
    assert(size >= 2 && size % 2 == 0);
}
RealTransform::~RealTransform() = default;
RealTransform::RealTransform(RealTransform&&) noexcept = default;
RealTransform& RealTransform::operator=(RealTransform&&) noexcept = default;

void RealTransform::forward(std::span<const float> samples, std::span<std::complex<float>> spectrum) {
    assert(samples.size() == size_ && spectrum.size() == bins());
    static_assert(sizeof(kiss_fft_cpx) == sizeof(std::complex<float>));
    kiss_fftr(plan_->config, samples.data(), reinterpret_cast<kiss_fft_cpx*>(spectrum.data()));
}

struct ComplexTransform::Plan : OwnedPlan<kiss_fft_cfg> {
    explicit Plan(std::size_t size) : OwnedPlan(kiss_fft_alloc(static_cast<int>(size), 0, nullptr, nullptr)) {}
};

ComplexTransform::ComplexTransform(std::size_t size) : plan_(std::make_unique<Plan>(size)), size_(size) {}
ComplexTransform::~ComplexTransform() = default;

void ComplexTransform::forward(std::span<const std::complex<float>> samples, std::span<std::complex<float>> spectrum) {
    assert(samples.size() == size_ && spectrum.size() == size_);
    kiss_fft(plan_->config, reinterpret_cast<const kiss_fft_cpx*>(samples.data()),
             reinterpret_cast<kiss_fft_cpx*>(spectrum.data()));
}

RealTransform& kept_transform(std::size_t size) {
    constexpr std::size_t most_kept = 4;
    thread_local std::list<RealTransform> kept;
    for (auto it = kept.begin(); it != kept.end(); ++it) {
        if (it->size() != size) continue;
        kept.splice(kept.begin(), kept, it);
        return kept.front();
    }
    kept.emplace_front(size);
    if (kept.size() > most_kept) kept.pop_back();
    return kept.front();
}

std::size_t fast_size_at_least(std::size_t n) {
    return static_cast<std::size_t>(kiss_fft_next_fast_size(static_cast<int>(n)));
}

std::size_t fast_size_at_most(std::size_t n) {
    std::size_t best = 2;
    for (std::size_t five = 1; five <= n; five *= 5) {
        for (std::size_t three = five; three <= n; three *= 3) {
            std::size_t size = three;
            while (size * 2 <= n) size *= 2;
            if (size % 2 == 0 && size > best) best = size;
        }
    }
    return best;
}

}  // namespace tattletone::spectrum
