#include "window/apply.h"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/text/lower_case.h"
#include "base/text/printable.h"
#include "match/json/findings_json.h"
#include "report/toggle_report.h"
#include "window/platform/saving.h"
#include "window/platform/system_places.h"

namespace tattletone::window {
namespace {

constexpr double zoom_span_share = 0.02, least_zoom_span_hz = 4.0;
constexpr double follow_half_width_hz = 3.0, follow_half_width_share = 0.003;

bool is_sheet(const std::string& path) {
    return base::lower_case(path).ends_with(".toml");
}
bool is_plan(const std::string& path) {
    return base::lower_case(path).ends_with(".csv");
}

/// A kept recording carries its state, "room" or "far" in its name; so do many others.
session::WantedRecording recording_at(const std::string& path, const board::BoardSheet* sheet) {
    const std::string name = path.substr(path.find_last_of("/\\") + 1);
    const auto names = [&](const std::string& word) {
        const auto letter = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; };
        for (std::size_t at = name.find(word); at != std::string::npos; at = name.find(word, at + 1)) {
            const std::size_t behind = at + word.size();
            if ((at == 0 || !letter(name[at - 1])) && (behind == name.size() || !letter(name[behind]))) return true;
        }
        return false;
    };
    session::WantedRecording wanted{path, "", "", false};
    if (sheet == nullptr) return wanted;
    for (const std::string& state : sheet->states)
        if (state.size() > wanted.state.size() && names(state)) wanted.state = state;
    wanted.room = wanted.state.empty() && names("room");
    wanted.far = !wanted.room && names("far");
    return wanted;
}

struct Action {
    session::Session& session;
    ViewState& view;
    const Shown& shown;
    Pending& pending;

    void operator()(const ask::OpenPaths& chosen) {
        std::vector<session::WantedRecording> recordings;
        for (const std::string& path : chosen.paths) {
            if (is_sheet(path))
                session.open_sheet(path);
            else if (is_plan(path))
                open_plan(path);
            else
                recordings.push_back(recording_at(path, shown.session->sheet.get()));
        }
        session.add_recordings(std::move(recordings));
    }
    void operator()(const ask::OpenRoom& chosen) { session.add_recordings({{chosen.path, "", "", true}}); }
    void operator()(const ask::Compare& chosen) {
        std::vector<session::WantedRecording> recordings;
        for (const std::string& path : chosen.paths)
            recordings.push_back(recording_at(path, shown.session->sheet.get()));
        session.add_before(std::move(recordings));
    }
    void operator()(const ask::SetAside&) {
        view.shown_recording = 0;
        session.set_aside();
    }
    void operator()(const ask::ForgetBefore&) { session.forget_before(); }
    void operator()(const ask::Drop& chosen) {
        view.over = Over::nothing;  // a plan brings its own
        if (view.tab == Tab::compare && std::none_of(chosen.paths.begin(), chosen.paths.end(),
                                                     [](const auto& path) { return is_sheet(path) || is_plan(path); }))
            return (*this)(ask::Compare{chosen.paths});
        (*this)(ask::OpenPaths{chosen.paths});
    }
    void operator()(const ask::ShowFolder& chosen) { view.folder = look_into(chosen.folder); }
    void operator()(const ask::ShowOpen& chosen) {
        view.open_for_compare = chosen.for_compare;
        view.open_as_room = chosen.as_room;
        view.folder = look_into(view.folder.folder);
        view.over = Over::open;
        pending.focus_path = true;
    }
    void operator()(const ask::CloseSheet&) { session.close_sheet(); }
    void operator()(const ask::StartDemo&) {
        const std::string folder = demo_folder();
        if (folder.empty()) {
            session.tell(true,
                         "The demo's recordings are missing: look for the folder 'samples' that came with "
                         "the program.");
            return;
        }
        forget_sound();
        session.play_demo(folder + "/clear.flac", folder + "/room.flac", folder + "/limpet.toml");
    }
    void operator()(const ask::ListDevices&) { session.list_devices(); }
    void operator()(const ask::Listen& chosen) {
        forget_sound();
        session.listen(chosen.device);
    }
    void operator()(const ask::StopListening&) { session.stop_listening(); }
    void operator()(const ask::LookAgain&) { session.look_again(); }
    void operator()(const ask::Pause& chosen) { session.pause(chosen.paused); }
    void operator()(const ask::BeginStep& chosen) {
        session.begin_step({chosen.room, chosen.far, chosen.state, chosen.seconds});
    }
    void operator()(const ask::CancelStep&) {
        view.toggling = false;  // so that the plan stays on the screen
        session.cancel_step();
    }
    void operator()(const ask::DrawPlan& chosen) { session.draw_plan(chosen.wish); }
    void operator()(const ask::ClosePlan&) { session.close_plan(); }
    void operator()(const ask::BeginToggled& chosen) {
        session.begin_toggled(chosen.by_hand);
        if (chosen.by_hand && view.tick && !shown.session->clicking) session.click(true);
    }
    void operator()(const ask::SetToggled& chosen) {
        session.set_toggled(chosen.id, chosen.toggled);
        view.over = Over::nothing;
    }
    void operator()(const ask::SetTick& chosen) {
        view.tick = chosen.on;
        session.click(chosen.on);
    }
    void operator()(const ask::LiveState& chosen) { session.set_live_state(chosen.state); }
    void operator()(const ask::KeepPast& chosen) { session.keep_past(chosen.seconds); }
    void operator()(const ask::SetKeepSeconds& chosen) { view.keep_seconds = chosen.seconds; }
    void operator()(const ask::RemoveRecording& chosen) { session.remove_recording(chosen.id); }
    void operator()(const ask::SetRole& chosen) { session.set_role(chosen.id, chosen.state, chosen.room, chosen.far); }
    void operator()(const ask::SetSpot& chosen) { session.set_spot(chosen.id, chosen.spot); }
    void operator()(const ask::ShowStore&) {
        session.list_units();
        view.over = Over::store;
        pending.focus_serial = true;
    }
    void operator()(const ask::Store& asked) {
        session::StoreOptions chosen = asked.chosen;
        if (chosen.microphone.empty() && shown.session->live && !shown.session->demo)
            chosen.microphone = shown.session->live->device;
        session.store(chosen);
    }
    void operator()(const ask::ShowRecording& chosen) { view.shown_recording = chosen.id; }

    void operator()(const ask::SelectTone& chosen) { view.selected_hz = chosen.hz; }
    void operator()(const ask::SelectRate& chosen) { view.selected_rate = chosen.rate; }
    void operator()(const ask::StepSelection& chosen) {
        if (shown.tones.empty()) return;
        const auto now = std::find(shown.tones.begin(), shown.tones.end(), shown.selected);
        const auto count = static_cast<long>(shown.tones.size());
        long next = chosen.by > 0 ? 0 : count - 1;
        if (now != shown.tones.end()) next = std::clamp((now - shown.tones.begin()) + chosen.by, 0L, count - 1);
        view.selected_hz = shown.tones[static_cast<std::size_t>(next)]->tone.hz;
    }
    void operator()(const ask::SetAxis& chosen) { view.axis = chosen.axis; }
    void operator()(const ask::ZoomToSelection&) {
        if (shown.selected == nullptr) return;
        const tones::Tone& tone = shown.selected->tone;
        const double span = std::max({least_zoom_span_hz, tone.steady ? 0.0 : zoom_span_share * tone.hz,
                                      4.0 * std::abs(tone.end_hz - tone.start_hz), 60.0 * tone.hz_sd});
        view.axis = around(view.axis, tone.hz, span, shown.limits);
    }
    void operator()(const ask::ShowAll&) { view.axis = whole(shown.limits, view.axis.logarithmic); }
    void operator()(const ask::SetDivision& chosen) { view.axis = with_division(view.axis, chosen.logarithmic); }
    void operator()(const ask::ShowTab& chosen) { view.tab = chosen.tab; }
    void operator()(const ask::SortTones& chosen) {
        view.tones_by = chosen.by;
        view.tones_descend = chosen.descend;
    }
    void operator()(const ask::SetSpectrogram& chosen) { view.spectrogram = chosen.on; }
    void operator()(const ask::SetHistorySeconds& chosen) { view.history_seconds = chosen.seconds; }
    void operator()(const ask::AddMark&) {
        if (!shown.session->live) return;
        view.marks.push_back({shown.session->live->seconds_heard, ""});
        view.mark_named = static_cast<int>(view.marks.size()) - 1;
        view.tab = Tab::history;
        pending.focus_mark = true;
    }
    void operator()(const ask::NameMark& chosen) {
        if (chosen.mark >= 0 && chosen.mark < static_cast<int>(view.marks.size()))
            view.marks[static_cast<std::size_t>(chosen.mark)].name = chosen.name;
        if (chosen.done) view.mark_named = -1;
    }

    void operator()(const ask::FollowTone& chosen) {
        view.follow.reset();
        if (chosen.hz) {
            view.follow.emplace(*chosen.hz);
            view.tab = Tab::follow;
        }
        session.follow(chosen.hz,
                       chosen.hz ? std::max(follow_half_width_hz, follow_half_width_share * *chosen.hz) : 0.0);
    }
    void operator()(const ask::RestartFollow&) {
        if (view.follow) view.follow->restart();
    }
    void operator()(const ask::Click& chosen) { session.click(chosen.on); }
    void operator()(const ask::NameSpot& chosen) {
        if (view.follow && !view.follow->name_spot(chosen.name))
            session.tell(true, "Hold still for a second first: the start of the level is not known yet.");
    }

    void operator()(const ask::SetLook& chosen) { view.look = chosen.look; }
    void operator()(const ask::SetScale& chosen) { view.scale = std::clamp(chosen.scale, 0.6, 3.0); }
    void operator()(const ask::ShowOver& chosen) { view.over = chosen.over; }
    void operator()(const ask::AcceptCaution&) {
        view.caution_seen = true;
        view.over = Over::nothing;
    }

    void operator()(const ask::SavePicture&) { pending.picture_path = new_path(view.save_folder, ".png"); }
    void operator()(const ask::SaveFindings&) {
        if (!shown.session->findings) {
            session.tell(true, "There are no findings yet: record something first.");
            return;
        }
        const std::string path = new_path(view.save_folder, ".json");
        base::JsonParts parts;
        if (shown.session->trial) parts.push_back({"toggle", report::trial_json(*shown.session->trial)});
        const auto error = save_text(path, base::OutputKind::findings_file,
                                     match::findings_json(*shown.session->findings, parts) + "\n");
        session.tell(error.has_value(), error ? base::to_sentence(*error) : "Findings saved in " + path);
    }
    void operator()(const ask::CopySummary&) {
        pending.copied = base::printable_lines(summary_of(*shown.session));
        session.tell(false, "The summary is in the clipboard.");
    }
    void operator()(const ask::Quit&) { pending.quit = true; }
    void operator()(const ask::Dismiss& chosen) { session.dismiss(chosen.note); }

    // It is read on another thread, and what is to be done with it is chosen there.
    void open_plan(const std::string& path) {
        session.open_plan(path);
        view.over = Over::toggle;
    }
    void forget_sound() {
        view.follow.reset();
        view.marks.clear();
        view.mark_named = -1;
        view.shown_recording = 0;
    }
};

}  // namespace

void apply(const Requests& requests, session::Session& session, ViewState& view, const Shown& shown, Pending& pending) {
    Action action{session, view, shown, pending};
    for (const Request& request : requests) std::visit(action, request);
}

void take_news(const session::SessionState& session, ViewState& view) {
    const AxisLimits limits = limits_for(session);
    if (view.axis.high_hz > limits.high_hz || view.axis.low_hz < limits.low_hz)
        view.axis = panned(view.axis, 0.0, limits);
    const bool toggling = session.step && session.step->plan;
    if (view.toggling && !toggling && view.over == Over::toggle) view.over = Over::nothing;  // its answer is behind it
    view.toggling = toggling;
    if (!view.follow || !session.live || !session.live->followed_hz) return;
    if (*session.live->followed_hz == view.follow->hz())
        view.follow->add(session.live->seconds_heard, session.live->followed.dbfs);
}

}  // namespace tattletone::window
