#pragma once

#include <memory>
#include <optional>
#include <string>

namespace tattletone::logbook {

/// What a system does to a file beyond the standard library. The only file of the logbook that
/// knows which system this is.

/// Waits until the content of the file (or, for a folder, its names) is on the disk. False where
/// the system could not.
bool flush_to_disk(const std::string& path);

/// A lock between processes that its owner's death releases. The file is made where it is missing.
class FileLock {
  public:
    enum class Kind { shared, exclusive };
    /// Waits up to `seconds`. Nothing where it stayed taken, or the file cannot be made.
    static std::optional<FileLock> take(const std::string& path, Kind kind, double seconds);
    ~FileLock();
    FileLock(FileLock&& other) noexcept;
    FileLock& operator=(FileLock&&) = delete;

  private:
    struct Handle;
    explicit FileLock(std::unique_ptr<Handle> handle);
    std::unique_ptr<Handle> handle_;
};

}  // namespace tattletone::logbook
