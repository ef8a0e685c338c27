#include "sound/capture/capture_buffer.h"

#include <algorithm>
#include <array>

namespace tattletone::sound {

bool CaptureBuffer::announce_gap() noexcept {
    if (!gap_pending_) return true;
    const std::uint64_t position = samples_.written();
    gap_pending_ = gap_marks_.write(std::span(&position, 1)) == 0;
    return !gap_pending_;
}

void CaptureBuffer::put(std::span<const float> mono) noexcept {
    // Without room for the mark these samples would join what they do not belong to: lose them too.
    const std::size_t taken = announce_gap() ? samples_.write(mono) : 0;
    if (taken < mono.size()) {
        lost_.fetch_add(mono.size() - taken, std::memory_order_relaxed);
        gap_pending_ = true;
    }
}

void CaptureBuffer::deliver(const float* interleaved, std::size_t frames, std::size_t channels,
                            bool lost_before) noexcept {
    if (gap_asked_.exchange(false, std::memory_order_acquire)) gap_pending_ = true;
    if (lost_before) {
        dropouts_.fetch_add(1, std::memory_order_relaxed);
        gap_pending_ = true;
    }
    if (interleaved == nullptr) {
        lost_.fetch_add(frames, std::memory_order_relaxed);
        gap_pending_ = true;
    } else if (channels == 1) {
        put({interleaved, frames});
    } else {
        std::array<float, 256> mono;
        for (std::size_t done = 0; done < frames;) {
            const std::size_t part = std::min(mono.size(), frames - done);
            for (std::size_t i = 0; i < part; ++i) mono[i] = interleaved[(done + i) * channels];
            put({mono.data(), part});
            done += part;
        }
    }
    deliveries_.fetch_add(1, std::memory_order_relaxed);
}

Piece CaptureBuffer::read(std::span<float> to) noexcept {
    // The samples first, the marks after: a mark is written before the samples that follow it, so
    // it is visible whenever they are.
    std::size_t count = std::min(samples_.available(), to.size());
    Piece piece;
    while (count > 0) {
        if (!next_gap_known_) next_gap_known_ = gap_marks_.read(std::span(&next_gap_, 1)) == 1;
        if (!next_gap_known_ || next_gap_ > read_position_) break;
        piece.gap_before = true;
        next_gap_known_ = false;
    }
    if (next_gap_known_) count = std::min<std::size_t>(count, next_gap_ - read_position_);
    piece.frames = samples_.read(to.first(count));
    read_position_ += piece.frames;
    return piece;
}

}  // namespace tattletone::sound
