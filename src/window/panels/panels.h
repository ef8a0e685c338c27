#pragma once

#include "window/requests.h"
#include "window/shown.h"

/// The panels: each draws from what is shown and returns what the user asked for. None reads a
/// device, a file or the logbook, or changes anything.
namespace tattletone::window {

struct Brush;

Requests bar_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests answer_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests steps_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests spectrum_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests ladders_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests tabs_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests tones_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests history_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests follow_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests recordings_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests compare_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests start_panel(const Shown& shown, const ViewState& view, const Brush& brush);

/// The drop-down list in which the user says in which state a recording was made.
void role_list(const Shown& shown, const session::SessionRecording& recording, const Brush& brush, Requests& asked);

// What lies over the rest.
Requests caution_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests open_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests store_panel(const Shown& shown, const ViewState& view, const Brush& brush);
Requests help_panel(const Shown& shown, const ViewState& view, const Brush& brush);

/// Zoom with the wheel, pan by dragging, select by a click: the same over spectrum, ladders and
/// history. `rect` lies on the frequency axis; the item under the mouse must be an invisible button
/// drawn before. `wheel`: whether the wheel zooms here.
Requests axis_mouse(const Shown& shown, const ViewState& view, const Brush& brush, bool wheel);

/// All of them, in their places.
Requests draw_window(const Shown& shown, const ViewState& view, const Brush& brush);

}  // namespace tattletone::window
