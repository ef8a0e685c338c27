#include "logbook/storage/system_file.h"

#include <chrono>
#include <filesystem>
#include <thread>

#if defined(_WIN32)
#include <windows.h>
#else
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "base/files/paths.h"
#endif

namespace tattletone::logbook {

#if defined(_WIN32)

namespace {
HANDLE open_file(const std::string& path, DWORD creation) {
    const std::filesystem::path name = base::path_of(path);
    return CreateFileW(name.c_str(), GENERIC_READ | GENERIC_WRITE, FILE_SHARE_READ | FILE_SHARE_WRITE, nullptr,
                       creation, FILE_ATTRIBUTE_NORMAL, nullptr);
}
}  // namespace

bool flush_to_disk(const std::string& path) {
    if (std::filesystem::is_directory(base::path_of(path))) return true;  // NTFS journals names by itself
    const HANDLE file = open_file(path, OPEN_EXISTING);
    if (file == INVALID_HANDLE_VALUE) return false;
    const bool flushed = FlushFileBuffers(file) != 0;
    CloseHandle(file);
    return flushed;
}

struct FileLock::Handle {
    HANDLE file = INVALID_HANDLE_VALUE;
    bool open(const std::string& path) {
        file = open_file(path, OPEN_ALWAYS);
        return file != INVALID_HANDLE_VALUE;
    }
    bool try_lock(Kind kind) {
        OVERLAPPED where{};
        const DWORD flags = LOCKFILE_FAIL_IMMEDIATELY | (kind == Kind::exclusive ? LOCKFILE_EXCLUSIVE_LOCK : 0);
        return LockFileEx(file, flags, 0, 1, 0, &where) != 0;
    }
    ~Handle() {
        if (file != INVALID_HANDLE_VALUE) CloseHandle(file);
    }
};

#else

bool flush_to_disk(const std::string& path) {
    const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0) return false;
    const bool flushed = ::fsync(file) == 0;
    ::close(file);
    return flushed;
}

struct FileLock::Handle {
    int file = -1;
    bool open(const std::string& path) {
        file = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
        return file >= 0;
    }
    bool try_lock(Kind kind) { return ::flock(file, (kind == Kind::exclusive ? LOCK_EX : LOCK_SH) | LOCK_NB) == 0; }
    ~Handle() {
        if (file >= 0) ::close(file);
    }
};

#endif

std::optional<FileLock> FileLock::take(const std::string& path, Kind kind, double seconds) {
    using Clock = std::chrono::steady_clock;
    auto handle = std::make_unique<Handle>();
    if (!handle->open(path)) return std::nullopt;
    const auto until = Clock::now() + std::chrono::duration<double>(seconds);
    while (!handle->try_lock(kind)) {
        if (Clock::now() >= until) return std::nullopt;
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return FileLock(std::move(handle));
}

FileLock::FileLock(std::unique_ptr<Handle> handle) : handle_(std::move(handle)) {}
FileLock::~FileLock() = default;
FileLock::FileLock(FileLock&&) noexcept = default;

}  // namespace tattletone::logbook
