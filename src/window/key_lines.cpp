#include "window/keys.h"

namespace tattletone {

std::span<const KeyLine> key_lines() {
    static constexpr KeyLine lines[] = {
        {"Space", "pause, go on"},
        {"R", "record the room (board off, 5 s)"},
        {"S", "record the next state"},
        {"K", "keep the last seconds (how many: beside the button)"},
        {"Up, Down", "select a tone"},
        {"Z, Home", "zoom to it; the whole axis"},
        {"+ -, Left Right", "zoom and move the axis (wheel, drag)"},
        {"L", "axis evenly or by octaves"},
        {"F, N, C, Backspace", "follow the tone; keep a spot; clicks; start anew"},
        {"G, M", "spectrogram; mark this moment"},
        {"1 to 5", "tones, history, follow, recordings, before and after"},
        {"Ctrl+O, B", "open; store in the logbook"},
        {"Ctrl+S, Ctrl+J, Ctrl+C", "save the picture, the findings; copy a summary"},
        {"D, Ctrl+plus, Ctrl+minus", "dark or light; larger, smaller"},
        {"F5, F1, Esc", "the demo; this page; away with it"},
        {"Ctrl+Q", "close the window; what was kept stays"},
    };
    return lines;
}

}  // namespace tattletone
