#pragma once

#include <optional>
#include <string>
#include <vector>

#include "session/live/follow_meter.h"
#include "window/drawing/frequency_axis.h"
#include "window/drawing/palette.h"

namespace tattletone::window {

enum class Tab { tones, history, follow, recordings, compare };
inline constexpr int tab_count = 5;

enum class Over { nothing, caution, open, help, store, toggle };  ///< what lies over everything else

/// A moment of the history that the user named.
struct TimeMark {
    double seconds = 0.0;
    std::string name;
};

/// What the file list shows.
struct FolderView {
    std::string folder;
    struct Entry {
        std::string name;
        bool is_folder = false;
    };
    std::vector<Entry> entries;
    std::string trouble;
};

/// How much of the past can be kept at once.
inline constexpr int keep_choices_seconds[] = {5, 10, 20, 30};

enum class TonesBy { hz, level, ratio, present, drift, origin };

/// How things are looked at. Only apply.cpp changes it.
struct ViewState {
    FrequencyAxis axis;
    Look look = Look::dark;
    double scale = 1.0;  ///< the user's, on top of the screen's own
    Tab tab = Tab::tones;
    Over over = Over::nothing;
    bool caution_seen = false;

    std::optional<double> selected_hz;
    std::string selected_rate;
    int shown_recording = 0;  ///< whose spectrum and history stand there; 0: the live sound, or the first

    TonesBy tones_by = TonesBy::origin;  ///< the board's first
    bool tones_descend = false;

    bool spectrogram = false;
    double history_seconds = 60.0;  ///< of the live history
    std::vector<TimeMark> marks;
    int mark_named = -1;  ///< index of the mark whose name is being typed

    int keep_seconds = 10;  ///< one of keep_choices_seconds

    bool tick = false;      ///< clicks at each switching of a toggle plan
    bool toggling = false;  ///< a recording with a plan was begun and has not ended

    std::optional<session::FollowMeter> follow;
    FolderView folder;
    bool open_for_compare = false, open_as_room = false;
    std::string save_folder;
    std::string last_device;  ///< that was listened to in an earlier sitting
};

}  // namespace tattletone::window
