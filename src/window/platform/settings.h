#pragma once

#include <string>
#include <string_view>

#include "window/view_state.h"

namespace tattletone::window {

/// What is remembered from one sitting to the next.
struct Settings {
    Look look = Look::dark;
    double scale = 1.0;
    Tab tab = Tab::tones;
    bool by_octaves = true;
    bool spectrogram = false;
    bool caution_seen = false;
    int keep_seconds = 10;
    int width = 1280, height = 800;
    bool listening = false;  ///< to `device`, when the window was closed
    std::string device, sheet, save_folder;
};

/// As a TOML file of plain keys. What cannot be understood keeps its default.
Settings settings_from(std::string_view text);
std::string settings_text(const Settings& settings);

}  // namespace tattletone::window
