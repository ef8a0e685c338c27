#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "session/before_after.h"
#include "session/session_state.h"
#include "window/answer.h"
#include "window/decimate.h"
#include "window/ladder_layout.h"
#include "window/layout.h"
#include "window/view_state.h"

namespace tattletone {

/// Everything that panels draw from: the newest session state, and what follows from it and from
/// the view. Made before the drawing begins.
struct Shown {
    std::shared_ptr<const SessionState> session;
    Layout layout;
    AxisLimits limits;
    Answer answer;
    std::vector<Ladder> ladders;

    std::shared_ptr<const SpectrumCurve> curve, before_curve;
    std::vector<Column> columns, before_columns;
    LevelRange range;
    std::shared_ptr<const Tones> floor;  ///< whose noise floor is drawn

    std::vector<const UnitTone*> tones;  ///< of the findings, in the table's order
    const UnitTone* selected = nullptr;

    std::shared_ptr<const std::vector<ToneTrack>> tracks;
    std::shared_ptr<const Spectrogram> spectrogram;
    double history_from = 0.0, history_to = 1.0;  ///< seconds
    bool history_live = false;
    std::uintptr_t spectrogram_texture = 0;  ///< 0: none

    std::vector<ToneChange> changes;  ///< the board's tones first
};

/// Which tone of the findings is meant by a frequency: the nearest within 0.3 % or 3 Hz.
const UnitTone* tone_near(const Findings* findings, double hz);

/// Fills what changed since `shown` was made.
void update_shown(Shown& shown, const std::shared_ptr<const SessionState>& session,
                  const ViewState& view, const Layout& layout);

/// Limits of the axis: half the sample rate of what is there.
AxisLimits limits_for(const SessionState& session);

}  // namespace tattletone
