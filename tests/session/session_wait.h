#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <string>
#include <thread>

#include <catch2/catch.hpp>

#include "session/sitting/session.h"
#include "support/names.h"

namespace tattletone {

inline const std::string samples = std::string(TATTLETONE_SOURCE_DIR) + "/samples/";

/// The first state that fulfils the condition.
inline std::shared_ptr<const SessionState> wait(
    const Session& session, const std::function<bool(const SessionState&)>& condition,
    std::chrono::seconds time = std::chrono::seconds(100)) {  // ends a hung test
    const auto end = std::chrono::steady_clock::now() + time;
    while (std::chrono::steady_clock::now() < end) {
        auto state = session.newest();
        if (condition(*state)) return state;
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    FAIL("what was waited for did not come");
    return nullptr;
}

}  // namespace tattletone
