#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace tattletone::base {

/// The character that begins at byte `at`. `bytes` is 0 where no well-formed sequence begins there (the
/// table of well-formed byte sequences, Unicode 15, 3-7: no overlong forms, no surrogates, none above U+10FFFF).
struct Utf8Character {
    std::uint32_t code = 0;
    std::size_t bytes = 0;
};
Utf8Character utf8_character(std::string_view text, std::size_t at);

/// `text` with every byte that is no part of well-formed UTF-8 (RFC 3629) replaced by U+FFFD.
std::string clean_utf8(std::string_view text);

}  // namespace tattletone::base
