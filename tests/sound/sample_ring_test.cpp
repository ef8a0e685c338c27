#include "sound/capture/sample_ring.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <numeric>
#include <random>
#include <thread>
#include <vector>

using tattletone::Ring;
using tattletone::SampleRing;

TEST_CASE("capacity is the next power of two, all of it usable") {
    CHECK(SampleRing(1).capacity() == 2);
    CHECK(SampleRing(1000).capacity() == 1024);
    SampleRing ring(1024);
    std::vector<float> values(1500);
    std::iota(values.begin(), values.end(), 0.0f);
    CHECK(ring.write(values) == 1024);
    CHECK(ring.overflow() == 476);
    CHECK(ring.written() == 1024);
    CHECK(ring.available() == 1024);
    CHECK(ring.write(values) == 0);
    CHECK(ring.overflow() == 1976);
    std::vector<float> out(2000, -1.0f);
    CHECK(ring.read(out) == 1024);
    for (std::size_t i = 0; i < 1024; ++i) REQUIRE(out[i] == static_cast<float>(i));
    CHECK(ring.read(out) == 0);
}

TEST_CASE("pieces that wrap around come out whole") {
    SampleRing ring(8);
    float next_in = 0.0f, next_out = 0.0f;
    std::mt19937 engine(7);
    for (int round = 0; round < 1000; ++round) {
        std::vector<float> in(engine() % 8);
        std::iota(in.begin(), in.end(), next_in);
        next_in += static_cast<float>(ring.write(in));
        std::vector<float> out(engine() % 8);
        const std::size_t got = ring.read(out);
        for (std::size_t i = 0; i < got; ++i) REQUIRE(out[i] == next_out++);
    }
    CHECK(next_out > 1000.0f);
}

TEST_CASE("two threads: every value once, in order") {
    // Whole numbers below 2^32 as values: order and completeness are exact. Run under
    // ThreadSanitizer too.
    Ring<std::uint32_t> ring(256);
    constexpr std::uint32_t total = 3'000'000;
    std::thread writer([&] {
        std::mt19937 engine(1);
        std::vector<std::uint32_t> block;
        for (std::uint32_t sent = 0; sent < total;) {
            block.resize(std::min<std::size_t>(1 + engine() % 200, total - sent));
            std::iota(block.begin(), block.end(), sent);
            const std::size_t taken = ring.write(block);
            if (taken == 0) std::this_thread::yield();
            sent += static_cast<std::uint32_t>(taken);
        }
    });
    std::mt19937 engine(2);
    std::vector<std::uint32_t> block(300);
    std::uint32_t expected = 0;
    bool in_order = true;
    while (expected < total) {
        const std::size_t got = ring.read(std::span(block).first(1 + engine() % 299));
        if (got == 0) std::this_thread::yield();
        for (std::size_t i = 0; i < got; ++i) in_order = in_order && block[i] == expected++;
    }
    writer.join();
    CHECK(in_order);
    CHECK(ring.available() == 0);
    CHECK(ring.written() == total);
}
