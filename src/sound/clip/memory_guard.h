#pragma once

#include <new>
#include <string>
#include <system_error>
#include <utility>

#include "sound/clip/clip_errors.h"

namespace tattletone::sound {

/// Does `work`, which gives a Result. Where there is no memory for it, or no thread, that is an error of this clip
/// which may pass, and the program goes on.
template <class Work>
auto with_memory_for(const std::string& path, Work&& work) -> decltype(work()) {
    try {
        return std::forward<Work>(work)();
    } catch (const std::bad_alloc&) {
    } catch (const std::system_error&) {
    }
    return clip_errors::not_enough_memory(path);
}

}  // namespace tattletone::sound
