#include "sound/capture/capture_buffer.h"
#include "support/names.h"

#include <catch2/catch.hpp>
#include <numeric>
#include <random>
#include <thread>
#include <vector>

using tattletone::CaptureBuffer;
using tattletone::Piece;

namespace {

std::vector<float> count_from(float first, std::size_t count) {
    std::vector<float> values(count);
    std::iota(values.begin(), values.end(), first);
    return values;
}

}  // namespace

TEST_CASE("samples pass in order, the first of two channels alone") {
    CaptureBuffer buffer(1024);
    const std::vector<float> stereo{1, -1, 2, -2, 3, -3};
    buffer.deliver(stereo.data(), 3, 2, false);
    std::vector<float> out(10);
    const Piece piece = buffer.read(out);
    CHECK(piece.frames == 3);
    CHECK_FALSE(piece.gap_before);
    CHECK(std::vector<float>(out.begin(), out.begin() + 3) == std::vector<float>{1, 2, 3});
    CHECK(buffer.read(out).frames == 0);
    CHECK(buffer.deliveries() == 1);
}

TEST_CASE("what did not fit is counted, and no piece joins the two sides") {
    CaptureBuffer buffer(64);
    const auto a = count_from(0, 100), b = count_from(1000, 10), c = count_from(2000, 10);
    buffer.deliver(a.data(), a.size(), 1, false);
    CHECK(buffer.lost_frames() == 36);
    std::vector<float> out(30);
    CHECK(buffer.read(out).frames == 30);
    buffer.deliver(b.data(), b.size(), 1, false);
    buffer.deliver(c.data(), c.size(), 1, false);
    out.resize(200);
    Piece piece = buffer.read(out);
    CHECK(piece.frames == 34);  // up to the gap, though more is there
    CHECK_FALSE(piece.gap_before);
    CHECK(out[33] == 63.0f);
    piece = buffer.read(out);
    CHECK(piece.gap_before);
    CHECK(piece.frames == 20);
    CHECK(out[0] == 1000.0f);
    CHECK(out[10] == 2000.0f);
}

TEST_CASE("a dropout told by the system and a mark from outside are gaps too") {
    CaptureBuffer buffer(1024);
    const auto a = count_from(0, 10);
    buffer.deliver(a.data(), 10, 1, false);
    buffer.deliver(a.data(), 10, 1, true);
    buffer.mark_gap();
    buffer.deliver(a.data(), 10, 1, false);
    buffer.deliver(nullptr, 10, 1, false);
    buffer.deliver(a.data(), 10, 1, false);
    CHECK(buffer.dropouts() == 1);
    CHECK(buffer.lost_frames() == 10);
    std::vector<float> out(100);
    std::vector<bool> gaps;
    for (Piece piece = buffer.read(out); piece.frames > 0; piece = buffer.read(out)) {
        CHECK(piece.frames == 10);
        gaps.push_back(piece.gap_before);
    }
    CHECK(gaps == std::vector<bool>{false, true, true, true});
}

TEST_CASE("more gaps than marks fit: samples are lost rather than joined") {
    CaptureBuffer buffer(1 << 16);
    for (int i = 0; i < 1000; ++i) {
        const auto value = static_cast<float>(i);
        buffer.deliver(&value, 1, 1, true);
    }
    CHECK(buffer.lost_frames() == 1000 - 256);
    std::vector<float> out(1000);
    std::size_t pieces = 0;
    for (Piece piece = buffer.read(out); piece.frames > 0; piece = buffer.read(out)) {
        REQUIRE(piece.frames == 1);
        REQUIRE(piece.gap_before);
        ++pieces;
    }
    CHECK(pieces == 256);
    const float last = 5000.0f;
    buffer.deliver(&last, 1, 1, false);
    const Piece piece = buffer.read(out);
    CHECK(piece.frames == 1);
    CHECK(piece.gap_before);
}

TEST_CASE("two threads and a reader that is too slow: a jump in the values always has its gap") {
    CaptureBuffer buffer(512);
    constexpr int total = 2'000'000;  // below 2^24: exact as float
    std::atomic<bool> done{false};
    std::thread card([&] {
        std::mt19937 engine(3);
        for (int sent = 0; sent < total;) {
            const auto block = count_from(static_cast<float>(sent), 1 + engine() % 300);
            buffer.deliver(block.data(), block.size(), 1, false);
            sent += static_cast<int>(block.size());
            if (engine() % 8 == 0) std::this_thread::yield();
        }
        done.store(true);
    });
    std::vector<float> out(400);
    float expected = 0.0f;
    std::size_t gaps = 0, unmarked = 0, received = 0;
    while (true) {
        const bool last_round = done.load();
        const Piece piece = buffer.read(out);
        if (piece.frames == 0) {
            if (last_round) break;
            std::this_thread::yield();
            continue;
        }
        if (piece.gap_before) ++gaps;
        if (!piece.gap_before && out[0] != expected) ++unmarked;
        for (std::size_t i = 1; i < piece.frames; ++i) unmarked += out[i] != out[i - 1] + 1.0f;
        expected = out[piece.frames - 1] + 1.0f;
        received += piece.frames;
    }
    card.join();
    CHECK(unmarked == 0);
    INFO("gaps " << gaps << ", lost " << buffer.lost_frames());
    CHECK(received + buffer.lost_frames() >= static_cast<std::size_t>(total));
    CHECK((gaps > 0) == (buffer.lost_frames() > 0));
}
