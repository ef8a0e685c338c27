#pragma once

#include <algorithm>
#include <atomic>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>

namespace tattletone::sound {

/// Values from one writing thread to one reading thread; any other use is an error. Neither side
/// waits, allocates, locks or calls the system. The indices run on without wrapping, so a full ring
/// and an empty one differ, and the masks of a power of two turn them into places.
template <class Value>
class Ring {
  public:
    explicit Ring(std::size_t least_capacity)
        : mask_(std::bit_ceil(std::max<std::size_t>(least_capacity, 2)) - 1),
          values_(std::make_unique<Value[]>(mask_ + 1)) {}
    Ring(const Ring&) = delete;
    Ring& operator=(const Ring&) = delete;

    std::size_t capacity() const noexcept { return mask_ + 1; }

    /// Writer only. Takes what fits and says how much that was; the rest is counted as overflow.
    std::size_t write(std::span<const Value> from) noexcept {
        const std::uint64_t at = written_.load(std::memory_order_relaxed);  // ours alone
        // acquire: the reader is done with the places that we are about to overwrite
        const std::uint64_t taken = read_.load(std::memory_order_acquire);
        const std::size_t room = capacity() - static_cast<std::size_t>(at - taken);
        const std::size_t count = std::min(room, from.size());
        const std::size_t place = static_cast<std::size_t>(at) & mask_;
        const std::size_t first = std::min(count, capacity() - place);
        std::copy_n(from.data(), first, values_.get() + place);
        std::copy_n(from.data() + first, count - first, values_.get());
        // release: the values above are visible before the index that announces them
        written_.store(at + count, std::memory_order_release);
        if (count < from.size()) overflow_.fetch_add(from.size() - count, std::memory_order_relaxed);
        return count;
    }

    /// Reader only. Fewer than asked for where there are fewer.
    std::size_t read(std::span<Value> to) noexcept {
        const std::uint64_t at = read_.load(std::memory_order_relaxed);  // ours alone
        const std::size_t count = std::min(available(), to.size());
        const std::size_t place = static_cast<std::size_t>(at) & mask_;
        const std::size_t first = std::min(count, capacity() - place);
        std::copy_n(values_.get() + place, first, to.data());
        std::copy_n(values_.get(), count - first, to.data() + first);
        // release: our reads above are done before the writer may use the places again
        read_.store(at + count, std::memory_order_release);
        return count;
    }

    /// Reader only.
    std::size_t available() const noexcept {
        // acquire: pairs with the writer's release
        return static_cast<std::size_t>(written_.load(std::memory_order_acquire) -
                                        read_.load(std::memory_order_relaxed));
    }

    /// Values ever taken in, and ever refused for lack of room. Any thread.
    std::uint64_t written() const noexcept { return written_.load(std::memory_order_relaxed); }
    std::uint64_t overflow() const noexcept { return overflow_.load(std::memory_order_relaxed); }

  private:
    static constexpr std::size_t cache_line_bytes = 64;
    const std::size_t mask_;
    const std::unique_ptr<Value[]> values_;
    alignas(cache_line_bytes) std::atomic<std::uint64_t> written_{0};
    std::atomic<std::uint64_t> overflow_{0};
    alignas(cache_line_bytes) std::atomic<std::uint64_t> read_{0};
};

using SampleRing = Ring<float>;

}  // namespace tattletone::sound
