#include "sound/clip/byte_stream.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "base/files/paths.h"
#include "sound/clip/clip_errors.h"

#ifdef _WIN32
#include <fcntl.h>
#include <io.h>
#endif

namespace tattletone::sound {
namespace {

// Headers stand in the first few bytes; a pipe may send without end.
constexpr std::size_t most_kept = 32u << 20;

std::FILE* open_binary(const std::filesystem::path& path) {
#ifdef _WIN32
    return _wfopen(path.c_str(), L"rb");
#else
    return std::fopen(path.c_str(), "rb");
#endif
}

bool seek_file(std::FILE* file, std::uint64_t position) {
#ifdef _WIN32
    return _fseeki64(file, static_cast<long long>(position), SEEK_SET) == 0;
#else
    return fseeko(file, static_cast<off_t>(position), SEEK_SET) == 0;
#endif
}

}  // namespace

void ByteStream::Closer::operator()(std::FILE* file) const {
    if (file != stdin) std::fclose(file);
}

Result<ByteStream> ByteStream::open(const std::string& path) {
    ByteStream stream;
    if (path == "-") {
#ifdef _WIN32
        _setmode(_fileno(stdin), _O_BINARY);
#endif
        stream.file_.reset(stdin);
        stream.keeping_ = true;
        return stream;
    }
    const std::filesystem::path file_path = base::path_of(path);
    std::error_code status;
    if (std::filesystem::is_directory(file_path, status)) return clip_errors::folder(path);
    errno = 0;
    stream.file_.reset(open_binary(file_path));
    if (!stream.file_) return clip_errors::cannot_open(path, errno);
    if (std::filesystem::is_regular_file(file_path, status)) {
        const auto size = std::filesystem::file_size(file_path, status);
        if (!status && size == 0) return clip_errors::empty_file(path);
        if (!status) stream.size_ = size;
        std::setvbuf(stream.file_.get(), nullptr, _IONBF, 0);  // we read in large blocks ourselves
    }
    stream.keeping_ = !stream.seekable();
    return stream;
}

std::size_t ByteStream::read(void* to, std::size_t bytes) {
    char* out = static_cast<char*>(to);
    std::size_t done = 0;
    if (position_ < kept_.size()) {
        done = std::min<std::size_t>(bytes, kept_.size() - position_);
        std::memcpy(out, kept_.data() + position_, done);
        position_ += done;
        if (!keeping_ && position_ == kept_.size()) kept_.shrink_to_fit();
    }
    if (done == bytes) return done;
    const std::size_t fresh = std::fread(out + done, 1, bytes - done, file_.get());
    if (fresh < bytes - done && std::ferror(file_.get()) != 0) failed_ = true;
    if (keeping_) {
        kept_.insert(kept_.end(), out + done, out + done + fresh);
        if (kept_.size() > most_kept) {
            keeping_ = false;
            kept_ = {};
        }
    }
    position_ += fresh;
    return done + fresh;
}

bool ByteStream::seek(std::uint64_t position) {
    if (position == position_) return true;
    if (!seekable()) {
        // A pipe stands at the end of what was kept, or nowhere that we could return to.
        if (!keeping_ || position > kept_.size()) return false;
    } else if (!seek_file(file_.get(), position)) {
        return false;
    }
    position_ = position;
    return true;
}

bool ByteStream::spool() {
    if (seekable()) return true;
    std::unique_ptr<std::FILE, Closer> copy(std::tmpfile());
    if (!copy || !seek(0)) return false;
    keeping_ = false;
    std::vector<char> block(1 << 18);
    std::uint64_t total = 0;
    while (const std::size_t n = read(block.data(), block.size())) {
        if (std::fwrite(block.data(), 1, n, copy.get()) != n) return false;
        total += n;
    }
    if (std::fflush(copy.get()) != 0 || !seek_file(copy.get(), 0)) return false;
    file_ = std::move(copy);
    kept_.clear();
    size_ = total;
    position_ = 0;
    return true;
}

}  // namespace tattletone::sound
