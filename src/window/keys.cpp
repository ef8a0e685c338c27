#include "window/keys.h"

#include <cmath>

namespace tattletone::window {
namespace {

constexpr double zoom_step = 1.5, pan_step = 0.1, scale_step = 1.1;

Requests with_control(const std::string& name, const ViewState& view) {
    if (name == "o") return {ask::ShowOpen{}};
    if (name == "q") return {ask::Quit{}};
    if (name == "s") return {ask::SavePicture{}};
    if (name == "j") return {ask::SaveFindings{}};
    if (name == "c") return {ask::CopySummary{}};
    if (name == "+" || name == "=") return {ask::SetScale{view.scale * scale_step}};
    if (name == "-") return {ask::SetScale{view.scale / scale_step}};
    if (name == "0") return {ask::SetScale{1.0}};
    return {};
}

Requests on_axis(const std::string& name, const Shown& shown, const ViewState& view) {
    if (name == "home") return {ask::ShowAll{}};
    if (name == "left") return {ask::SetAxis{panned(view.axis, -pan_step, shown.limits)}};
    if (name == "right") return {ask::SetAxis{panned(view.axis, pan_step, shown.limits)}};
    const bool in = name == "+" || name == "=";
    if (!in && name != "-") return {};
    double share = 0.5;
    if (shown.selected != nullptr) {
        const double at = view.axis.share(shown.selected->tone.hz);
        if (at >= 0.0 && at <= 1.0) share = at;
    }
    return {ask::SetAxis{zoomed(view.axis, share, in ? zoom_step : 1.0 / zoom_step, shown.limits)}};
}

Requests while_listening(const std::string& name, const Shown& shown, const ViewState& view) {
    const session::SessionState& session = *shown.session;
    if (!session.live) return {};
    if (name == "space") return {ask::Pause{!session.live->paused}};
    if (name == "k") return {ask::KeepPast{static_cast<double>(view.keep_seconds)}};
    if (name == "m") return {ask::AddMark{}};
    if (name == "f" && shown.selected != nullptr) return {ask::FollowTone{shown.selected->tone.hz}};
    if (view.follow && name == "n") return {ask::NameSpot{}};
    if (view.follow && name == "c") return {ask::Click{!session.clicking}};
    if (view.follow && name == "backspace") return {ask::RestartFollow{}};
    if (session.demo) return {};
    if (name == "r") return {ask::BeginStep{true, "", room_step_seconds}};
    if (name == "s")
        for (const StepView& step : steps_of(session))
            if (!step.room && !step.far && !step.done && !step.running)
                return {ask::BeginStep{false, step.state, state_step_seconds}};
    return {};
}

Requests escape(const Shown& shown, const ViewState& view) {
    if (view.over == Over::caution) return {};
    if (view.over == Over::toggle && shown.session->step && shown.session->step->plan) return {ask::CancelStep{}};
    if (view.over != Over::nothing) return {ask::ShowOver{Over::nothing}};
    if (view.tab == Tab::follow && view.follow) return {ask::FollowTone{}};
    return {ask::SelectTone{}, ask::SelectRate{}};
}

}  // namespace

Requests request_for(const KeyPress& key, const Shown& shown, const ViewState& view) {
    const std::string& name = key.name;
    if (name == "escape") return escape(shown, view);
    if (view.over == Over::caution) {
        if (name == "enter") return {ask::AcceptCaution{}};
        if (name == "f5") return {ask::AcceptCaution{}, ask::StartDemo{}};
        return {};
    }
    if (name == "f1") return {ask::ShowOver{view.over == Over::help ? Over::nothing : Over::help}};
    if (view.over != Over::nothing) return {};
    if (key.control) return with_control(name, view);
    if (name == "f5") return {ask::StartDemo{}};
    if (name.size() == 1 && name[0] >= '1' && name[0] < '1' + tab_count)
        return {ask::ShowTab{static_cast<Tab>(name[0] - '1')}};
    if (name == "b") return {ask::ShowStore{}};
    if (name == "t") return {ask::ShowOver{Over::toggle}};
    if (name == "up") return {ask::StepSelection{-1}};
    if (name == "down") return {ask::StepSelection{1}};
    if (name == "z") return {ask::ZoomToSelection{}};
    if (name == "l") return {ask::SetDivision{!view.axis.logarithmic}};
    if (name == "g") return {ask::ShowTab{Tab::history}, ask::SetSpectrogram{!view.spectrogram}};
    if (name == "d") return {ask::SetLook{view.look == Look::dark ? Look::light : Look::dark}};
    Requests asked = on_axis(name, shown, view);
    if (asked.empty()) asked = while_listening(name, shown, view);
    return asked;
}

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
        {"T", "the toggle plan: switch parts in random order, a proof"},
        {"Ctrl+O, B", "open; store in the logbook"},
        {"Ctrl+S, Ctrl+J, Ctrl+C", "save the picture, the findings; copy a summary"},
        {"D, Ctrl+plus, Ctrl+minus", "dark or light; larger, smaller"},
        {"F5, F1, Esc", "the demo; this page; away with it"},
        {"Ctrl+Q", "close the window; what was kept stays"},
    };
    return lines;
}

}  // namespace tattletone::window
