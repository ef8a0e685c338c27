#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace tattletone::window {

struct WindowOptions {
    std::vector<std::string> files;  ///< recordings, taken in at once
    std::vector<std::string> far;    ///< recordings from 60 cm
    std::string room, sheet;
    std::optional<std::string> device;  ///< listen to it at once; empty: the system's default
    bool demo = false;
    std::string save_folder;  ///< empty: what was used last
    std::string logbook;      ///< where measurements are stored; empty: nowhere
    std::string user;         ///< who measures
    bool ignore_confirmed = false;
};

/// Opens the window and returns when it is closed. Error: there is no screen, or no OpenGL 3.
std::optional<Error> run_window(const WindowOptions& chosen);

}  // namespace tattletone::window
