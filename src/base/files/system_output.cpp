#include "base/files/system_output.h"

#include <cerrno>
#include <charconv>
#include <string>

#if defined(_WIN32)
#include <io.h>
#else
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#endif

namespace tattletone::base {

namespace fs = std::filesystem;

#if defined(_WIN32)

std::FILE* make_file(const fs::path& path) {
    return _wfopen(path.c_str(), L"w+bx");
}

// An open file can be neither removed nor renamed here.
void if_left_over(const fs::path&, const std::function<void()>& see_to) {
    see_to();
}

bool cut_to(std::FILE* file, std::int64_t bytes) {
    return _chsize_s(_fileno(file), bytes) == 0;
}

bool bring_to_disk(std::FILE* file) {
    return std::fflush(file) == 0 && _commit(_fileno(file)) == 0;
}
void bring_names_to_disk(const fs::path&) {}  // NTFS journals names by itself
void take_permissions_of(std::FILE*, const fs::path&) {}

int rename_to_free(const fs::path& from, const fs::path& to) {
    return _wrename(from.c_str(), to.c_str()) == 0 ? 0 : errno;  // fails with EEXIST by itself
}

bool is_write_protected(const fs::path& path) {
    return _waccess(path.c_str(), 2) != 0;
}
std::optional<int> standard_stream_at(const fs::path&) {
    return std::nullopt;
}
std::optional<int> descriptor_named(std::string_view) {
    return std::nullopt;
}

int write_straight(const fs::path& path, std::optional<int>, std::string_view content) {
    std::FILE* const file = _wfopen(path.c_str(), L"wb");
    if (file == nullptr) return errno;
    const bool whole = std::fwrite(content.data(), 1, content.size(), file) == content.size();
    const int why = errno;
    if (std::fclose(file) == 0 && whole) return 0;
    return whole ? errno : why;
}

#else

std::FILE* make_file(const fs::path& path) {
    for (;;) {
        std::FILE* const file = std::fopen(path.c_str(), "w+bxe");
        if (file == nullptr) return nullptr;
        // Whoever tidies up takes the lock before it removes: once it is ours, the name is gone or stays.
        struct stat seen {};
        if (::flock(::fileno(file), LOCK_EX) != 0 || ::fstat(::fileno(file), &seen) != 0 || seen.st_nlink > 0)
            return file;
        std::fclose(file);
    }
}

void if_left_over(const fs::path& path, const std::function<void()>& see_to) {
    const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (file < 0) return;
    if (::flock(file, LOCK_EX | LOCK_NB) == 0) see_to();
    ::close(file);
}

bool cut_to(std::FILE* file, std::int64_t bytes) {
    return ::ftruncate(::fileno(file), static_cast< ::off_t>(bytes)) == 0;
}

bool bring_to_disk(std::FILE* file) {
    if (std::fflush(file) != 0) return false;
    return ::fsync(::fileno(file)) == 0 || errno == EINVAL || errno == ENOTSUP;
}

void bring_names_to_disk(const fs::path& folder) {
    const int file = ::open(folder.c_str(), O_RDONLY | O_CLOEXEC | O_DIRECTORY);
    if (file < 0) return;
    ::fsync(file);
    ::close(file);
}

void take_permissions_of(std::FILE* new_file, const fs::path& old_file) {
    struct stat old {
    }, now{};
    const int file = ::fileno(new_file);
    if (::stat(old_file.c_str(), &old) != 0 || ::fstat(file, &now) != 0) return;
    const bool same_owner = old.st_uid == now.st_uid && old.st_gid == now.st_gid;
    // The set-id bits are not passed on: they were meant for another content.
    if (same_owner || ::fchown(file, old.st_uid, old.st_gid) == 0) {
        if (::fchmod(file, old.st_mode & 0777) != 0) return;
    }
}

int rename_to_free(const fs::path& from, const fs::path& to) {
#if defined(__linux__)
    if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
    if (errno != ENOSYS && errno != EINVAL) return errno;
#endif
    struct stat seen {};
    if (::lstat(to.c_str(), &seen) == 0) return EEXIST;
    return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
}

bool is_write_protected(const fs::path& path) {
    struct stat seen {};
    if (::stat(path.c_str(), &seen) != 0) return false;
    return (seen.st_mode & 0222) == 0 || ::faccessat(AT_FDCWD, path.c_str(), W_OK, AT_EACCESS) != 0;
}

std::optional<int> standard_stream_at(const fs::path& path) {
    struct stat there {
    }, own{};
    if (::stat(path.c_str(), &there) != 0) return std::nullopt;
    for (int stream = 0; stream < 3; ++stream)
        if (::fstat(stream, &own) == 0 && S_ISREG(own.st_mode) && own.st_dev == there.st_dev &&
            own.st_ino == there.st_ino)
            return stream;
    return std::nullopt;
}

std::optional<int> descriptor_named(std::string_view path) {
    if (path == "/dev/stdout") return 1;
    if (path == "/dev/stderr") return 2;
    for (const std::string_view folder : {"/dev/fd/", "/proc/self/fd/"}) {
        if (!path.starts_with(folder)) continue;
        const std::string_view digits = path.substr(folder.size());
        int number = -1;
        const auto end = std::from_chars(digits.data(), digits.data() + digits.size(), number);
        if (end.ec == std::errc() && end.ptr == digits.data() + digits.size() && number >= 0) return number;
    }
    return std::nullopt;
}

int write_straight(const fs::path& path, std::optional<int> descriptor, std::string_view content) {
    const int file = descriptor ? ::dup(*descriptor) : ::open(path.c_str(), O_WRONLY | O_NOCTTY | O_CLOEXEC);
    if (file < 0) return errno;
    int why = 0;
    while (!content.empty() && why == 0) {
        const ::ssize_t count = ::write(file, content.data(), content.size());
        if (count >= 0)
            content.remove_prefix(static_cast<std::size_t>(count));
        else if (errno != EINTR)
            why = errno;
    }
    return ::close(file) == 0 || why != 0 ? why : errno;
}

#endif

}  // namespace tattletone::base
