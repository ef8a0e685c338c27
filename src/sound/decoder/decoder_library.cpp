#include <utility>

#include "sound/clip/clip_errors.h"
#include "sound/decoder/decoder_source.h"

#ifdef __linux__
#include <dlfcn.h>
#include <sys/mman.h>

#include <filesystem>
#include <mutex>
#include <string_view>
#include <system_error>
#endif

namespace tattletone::sound {
namespace {

using Entrance = decltype(&tattletone_make_decoder_source);

#ifdef __linux__

// The decoder and the libraries that it brings are mapped over about this much.
constexpr std::size_t libraries_bytes = 200u << 20;

bool memory_is_short(std::string_view reason) {
    for (const char* word : {"allocate", "map segment", "memory"})
        if (reason.find(word) != std::string_view::npos) return true;
    void* const room = mmap(nullptr, libraries_bytes, PROT_NONE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (room == MAP_FAILED) return true;
    munmap(room, libraries_bytes);
    return false;
}

/// What failed for want of memory is tried again with the next clip.
Entrance decoder(const std::string& path, MadeSource& why_not) {
    static std::mutex one_at_a_time;
    static Entrance found = nullptr;
    const std::lock_guard lock(one_at_a_time);
    if (found != nullptr) return found;
    std::error_code problem;
    const auto programs = std::filesystem::read_symlink("/proc/self/exe", problem).parent_path();
    if (programs.empty()) return nullptr;
    for (const char* place : {"../lib/tattletone", "../../src/sound"}) {  // installed; built
        const auto file = programs / place / "tattletone_decoder.so";
        if (!std::filesystem::exists(file, problem)) continue;
        if (void* library = dlopen(file.c_str(), RTLD_LAZY | RTLD_LOCAL)) {
            found = reinterpret_cast<Entrance>(dlsym(library, "tattletone_make_decoder_source"));
            return found;
        }
        const char* const reason = dlerror();
        if (memory_is_short(reason != nullptr ? reason : "")) why_not = clip_errors::not_enough_memory(path);
    }
    return nullptr;
}

#else

Entrance decoder(const std::string&, MadeSource&) {
    return tattletone_make_decoder_source;
}

#endif

}  // namespace

MadeSource make_decoder_source(ByteStream stream, const std::string& path) {
    MadeSource made = clip_errors::no_decoder(path);
    if (const Entrance make = decoder(path, made)) make(stream, path, made);
    return made;
}

}  // namespace tattletone::sound
