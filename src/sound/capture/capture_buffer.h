#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <span>

#include "sound/capture/sample_ring.h"
#include "sound/clip/piece.h"

namespace tattletone::sound {

/// Between the sound card's thread (`deliver`) and the one that listens (`read`); one thread each.
/// Where samples were lost, a mark travels with the samples, so that a piece never bridges a gap.
class CaptureBuffer {
  public:
    explicit CaptureBuffer(std::size_t least_frames) : samples_(least_frames), gap_marks_(256) {}

    /// The sound card's side: channel 0 of interleaved frames. `lost_before`: the system says that
    /// it dropped input before these. No allocation, lock, log or system call.
    void deliver(const float* interleaved, std::size_t frames, std::size_t channels, bool lost_before) noexcept;
    /// Any thread: what is delivered next does not join what was.
    void mark_gap() noexcept { gap_asked_.store(true, std::memory_order_release); }

    /// The listening side: the next frames up to a gap, an end or the size of `to`.
    Piece read(std::span<float> to) noexcept;

    std::uint64_t lost_frames() const noexcept { return lost_.load(std::memory_order_relaxed); }
    /// Times that the system said it dropped input; how much it does not say.
    std::uint64_t dropouts() const noexcept { return dropouts_.load(std::memory_order_relaxed); }
    /// Rises with each delivery: a stream that stands still is frozen.
    std::uint64_t deliveries() const noexcept { return deliveries_.load(std::memory_order_relaxed); }

  private:
    bool announce_gap() noexcept;
    void put(std::span<const float> mono) noexcept;

    SampleRing samples_;
    Ring<std::uint64_t> gap_marks_;  // positions in the stream of samples that got through
    std::atomic<std::uint64_t> lost_{0};
    std::atomic<std::uint64_t> dropouts_{0};
    std::atomic<std::uint64_t> deliveries_{0};
    std::atomic<bool> gap_asked_{false};
    bool gap_pending_ = false;         // the sound card's side alone
    std::uint64_t read_position_ = 0;  // the listening side alone
    std::uint64_t next_gap_ = 0;
    bool next_gap_known_ = false;
};

}  // namespace tattletone::sound
