// The sound card's thread must not allocate: every operator new of this program is counted.
#include <atomic>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <new>
#include <vector>

#include "sound/capture/capture_buffer.h"
#include "support/names.h"

namespace {
std::atomic<std::size_t> allocations{0};

void* counted(std::size_t bytes, std::size_t alignment = alignof(std::max_align_t)) {
    allocations.fetch_add(1, std::memory_order_relaxed);
    void* memory = std::aligned_alloc(alignment, (bytes + alignment - 1) / alignment * alignment);
    if (memory == nullptr) throw std::bad_alloc();
    return memory;
}
}  // namespace

void* operator new(std::size_t bytes) {
    return counted(bytes);
}
void* operator new[](std::size_t bytes) {
    return counted(bytes);
}
void* operator new(std::size_t bytes, std::align_val_t a) {
    return counted(bytes, static_cast<std::size_t>(a));
}
void* operator new[](std::size_t bytes, std::align_val_t a) {
    return counted(bytes, static_cast<std::size_t>(a));
}
void* operator new(std::size_t bytes, const std::nothrow_t&) noexcept {
    return counted(bytes);
}
void* operator new[](std::size_t bytes, const std::nothrow_t&) noexcept {
    return counted(bytes);
}
void operator delete(void* memory) noexcept {
    std::free(memory);
}
void operator delete[](void* memory) noexcept {
    std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
    std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
    std::free(memory);
}
void operator delete(void* memory, std::align_val_t) noexcept {
    std::free(memory);
}
void operator delete[](void* memory, std::align_val_t) noexcept {
    std::free(memory);
}

TEST_CASE("delivering allocates nothing, gaps, overflow and several channels included") {
    tattletone::CaptureBuffer buffer(1024);
    std::vector<float> block(4 * 700), out(300);
    const std::size_t before = allocations.load();
    static_assert(noexcept(buffer.deliver(nullptr, 0, 1, false)));
    for (int round = 0; round < 1000; ++round) {
        buffer.deliver(block.data(), 700, 1, round % 3 == 0);
        buffer.deliver(block.data(), 700, 4, false);
        buffer.deliver(nullptr, 10, 1, false);
        buffer.read(out);
    }
    CHECK(allocations.load() == before);
    CHECK(buffer.lost_frames() > 0);
    std::vector<float> counted_itself(10);
    CHECK(allocations.load() > before);  // the counter works
}
