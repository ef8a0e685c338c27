#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace tattletone::logbook {

/// SHA-256 (FIPS 180-4, section 6.2), fed in pieces of any size.
class Sha256 {
  public:
    Sha256& add(std::span<const std::byte> bytes);
    Sha256& add(std::string_view text);
    /// 64 hexadecimal digits in lower case. Ends the message: nothing may be added afterwards.
    std::string finish();

  private:
    void take_block(const std::uint8_t* block);

    std::array<std::uint32_t, 8> state_ = {0x6a09e667u, 0xbb67ae85u, 0x3c6ef372u, 0xa54ff53au,
                                           0x510e527fu, 0x9b05688cu, 0x1f83d9abu, 0x5be0cd19u};
    std::array<std::uint8_t, 64> block_ = {};
    std::size_t held_ = 0;
    std::uint64_t bytes_ = 0;
};

std::string sha256_of(std::string_view text);

}  // namespace tattletone::logbook
