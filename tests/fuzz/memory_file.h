#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <cstdint>
#include <cstdlib>
#include <string>

namespace tattletone {

/// Bytes under a path, without a disk. Gone with this object.
class MemoryFile {
  public:
    MemoryFile(const std::uint8_t* data, std::size_t size) : handle_(memfd_create("clip", MFD_CLOEXEC)) {
        if (handle_ < 0) std::abort();
        for (std::size_t done = 0; done < size;) {
            const auto wrote = write(handle_, data + done, size - done);
            if (wrote <= 0) std::abort();
            done += static_cast<std::size_t>(wrote);
        }
    }
    ~MemoryFile() { close(handle_); }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    std::string path() const { return "/proc/self/fd/" + std::to_string(handle_); }

  private:
    int handle_;
};

}  // namespace tattletone
