#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace tattletone::sound {

/// The bytes of a file or of standard input ("-"). A pipe can be rewound only over what was read
/// before `stop_keeping`, and over 32 MB at most.
class ByteStream {
  public:
    /// Errors: no such file, a folder, no permission, an empty file.
    static Result<ByteStream> open(const std::string& path);

    /// Fewer than asked for only at the end or where reading fails (see `failed`).
    std::size_t read(void* to, std::size_t bytes);
    bool seek(std::uint64_t position);
    std::uint64_t position() const { return position_; }
    std::optional<std::uint64_t> size() const { return size_; }  ///< known for files only
    bool seekable() const { return size_.has_value(); }
    bool failed() const { return failed_; }  ///< the device or network gave an error

    void stop_keeping() { keeping_ = false; }
    /// Copies the rest of a pipe to a temporary file, for formats whose index stands at the end.
    /// False when there is no room for it.
    bool spool();

  private:
    struct Closer {
        void operator()(std::FILE* file) const;
    };
    std::unique_ptr<std::FILE, Closer> file_;
    std::optional<std::uint64_t> size_;
    std::uint64_t position_ = 0;
    std::vector<char> kept_;  // the first bytes of a pipe
    bool keeping_ = false;
    bool failed_ = false;
};

}  // namespace tattletone::sound
