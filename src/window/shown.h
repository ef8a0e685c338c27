#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "session/sitting/before_after.h"
#include "session/sitting/session_state.h"
#include "window/answer.h"
#include "window/drawing/decimate.h"
#include "window/drawing/ladder_layout.h"
#include "window/drawing/layout.h"
#include "window/view_state.h"

namespace tattletone::window {

/// Everything that panels draw from: the newest session state, and what follows from it and from
/// the view. Made before the drawing begins.
struct Shown {
    std::shared_ptr<const session::SessionState> session;
    Layout layout;
    AxisLimits limits;
    Answer answer;
    std::vector<Ladder> ladders;

    std::shared_ptr<const session::SpectrumCurve> curve, before_curve;
    std::vector<Column> columns, before_columns;
    LevelRange range;
    std::shared_ptr<const tones::Tones> floor;  ///< whose noise floor is drawn

    std::vector<const tones::UnitTone*> tones;  ///< of the findings, in the table's order
    const tones::UnitTone* selected = nullptr;

    std::shared_ptr<const std::vector<session::ToneTrack>> tracks;
    std::shared_ptr<const session::Spectrogram> spectrogram;
    double history_from = 0.0, history_to = 1.0;  ///< seconds
    bool history_live = false;
    std::uintptr_t spectrogram_texture = 0;  ///< 0: none

    std::vector<session::ToneChange> changes;  ///< the board's tones first
};

/// Which tone of the findings is meant by a frequency: the nearest within 0.3 % or 3 Hz.
const tones::UnitTone* tone_near(const match::Findings* findings, double hz);

/// Fills what changed since `shown` was made.
void update_shown(Shown& shown, const std::shared_ptr<const session::SessionState>& session, const ViewState& view,
                  const Layout& layout);

/// Limits of the axis: half the sample rate of what is there.
AxisLimits limits_for(const session::SessionState& session);

}  // namespace tattletone::window
