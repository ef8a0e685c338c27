#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sound/clip/byte_stream.h"

namespace tattletone::scope {

/// Lines of a text file in UTF-8, UTF-16 or an eight-bit code, ended by LF, CR LF or CR.
class TraceLines {
  public:
    explicit TraceLines(sound::ByteStream& bytes) : bytes_(bytes) {}

    /// The next line without its end, valid until the next call. False at the end.
    bool next(std::string_view& line);
    std::size_t number() const { return number_; }  ///< of the line last given, from 1
    bool is_text() const { return text_; }          ///< no NUL was met, no line is endless

  private:
    bool fill();
    void append_utf16(std::string_view raw);

    enum class Coding { unknown, bytes, utf16_little, utf16_big };
    sound::ByteStream& bytes_;
    Coding coding_ = Coding::unknown;
    std::string block_, carried_;  ///< text, and half a code unit of UTF-16
    std::vector<char> raw_;
    std::size_t at_ = 0, number_ = 0;
    unsigned high_ = 0;  ///< first half of a surrogate pair
    char end_ = '\0';    ///< of a line; '\0': not known yet
    bool text_ = true, ended_ = false;
};

}  // namespace tattletone::scope
