#pragma once

#include "window/requests.h"
#include "window/shown.h"

/// The panels: each draws from what is shown and returns what the user asked for. None reads a
/// device, a file or the logbook, or changes anything.
namespace tattletone::window {

struct Brush;

using Panel = Requests(const Shown& shown, const ViewState& view, const Brush& brush);

Panel bar_panel, answer_panel, steps_panel, spectrum_panel, ladders_panel, tabs_panel, start_panel;
/// Of the tabs, one each.
Panel tones_panel, history_panel, follow_panel, recordings_panel, compare_panel;
/// What lies over the rest.
Panel caution_panel, open_panel, store_panel, help_panel, toggle_panel;

/// The drop-down list in which the user says in which state a recording was made.
void role_list(const Shown& shown, const session::SessionRecording& recording, const Brush& brush, Requests& asked);

/// Zoom with the wheel, pan by dragging, select by a click: the same over spectrum, ladders and
/// history. `rect` lies on the frequency axis; the item under the mouse must be an invisible button
/// drawn before. `wheel`: whether the wheel zooms here.
Requests axis_mouse(const Shown& shown, const ViewState& view, const Brush& brush, bool wheel);

/// All of them, in their places.
Requests draw_window(const Shown& shown, const ViewState& view, const Brush& brush);

}  // namespace tattletone::window
