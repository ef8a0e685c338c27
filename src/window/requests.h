#pragma once

#include <string>
#include <variant>
#include <vector>

#include "session/sitting/store_options.h"
#include "toggle/plan/plan.h"
#include "window/view_state.h"

/// What a panel can ask for. Plain values; apply.h does it.
namespace tattletone::window::ask {

struct OpenPaths {
    std::vector<std::string> paths;
};  ///< sheets and recordings, told by their ending
struct OpenRoom {
    std::string path;
};
struct Compare {
    std::vector<std::string> paths;
};  ///< recordings of an earlier session, beside those that are there already
struct SetAside {};
struct ForgetBefore {};
struct Drop {
    std::vector<std::string> paths;
};  ///< onto the window: what they are for depends on what is shown
struct ShowFolder {
    std::string folder;
};
struct ShowOpen {
    bool for_compare = false, as_room = false;
};
struct CloseSheet {};
struct StartDemo {};
struct ListDevices {};
struct Listen {
    std::string device;
};
struct StopListening {};
struct LookAgain {};
struct Pause {
    bool paused = false;
};
struct BeginStep {
    bool room = false;
    std::string state;
    double seconds = 10.0;
    bool far = false;
};
struct CancelStep {};
struct DrawPlan {
    toggle::PlanWish wish;
};
struct ClosePlan {};
struct BeginToggled {
    bool by_hand = true;
};
struct SetToggled {
    int id = 0;
    bool toggled = true;
};
struct SetTick {
    bool on = false;
};
struct LiveState {
    std::string state;
};
struct KeepPast {
    double seconds = 10.0;
};
struct SetKeepSeconds {
    int seconds = 10;
};
struct RemoveRecording {
    int id = 0;
};
struct SetRole {
    int id = 0;
    std::string state;
    bool room = false, far = false;
};
struct SetSpot {
    int id = 0;
    std::string spot;
};
struct ShowStore {};
struct Store {
    session::StoreOptions chosen;
};
struct ShowRecording {
    int id = 0;
};
struct SelectTone {
    std::optional<double> hz;
};
struct SelectRate {
    std::string rate;
};
struct StepSelection {
    int by = 1;
};
struct SetAxis {
    FrequencyAxis axis;
};
struct ZoomToSelection {};
struct ShowAll {};
struct SetDivision {
    bool logarithmic = true;
};
struct ShowTab {
    Tab tab = Tab::tones;
};
struct SortTones {
    TonesBy by = TonesBy::hz;
    bool descend = false;
};
struct SetSpectrogram {
    bool on = false;
};
struct SetHistorySeconds {
    double seconds = 60.0;
};
struct AddMark {};
struct NameMark {
    int mark = 0;
    std::string name;
    bool done = false;
};
struct FollowTone {
    std::optional<double> hz;
};
struct RestartFollow {};
struct Click {
    bool on = false;
};
struct NameSpot {
    std::string name;
};
struct SetLook {
    Look look = Look::dark;
};
struct SetScale {
    double scale = 1.0;
};
struct ShowOver {
    Over over = Over::nothing;
};
struct AcceptCaution {};
struct SavePicture {};
struct SaveFindings {};
struct CopySummary {};
struct Quit {};
struct Dismiss {
    int note = 0;
};

}  // namespace tattletone::window::ask

namespace tattletone::window {

using Request =
    std::variant<ask::OpenPaths, ask::OpenRoom, ask::Compare, ask::SetAside, ask::ForgetBefore, ask::Drop,
                 ask::ShowFolder, ask::ShowOpen, ask::CloseSheet, ask::StartDemo, ask::ListDevices, ask::Listen,
                 ask::StopListening, ask::LookAgain, ask::Pause, ask::BeginStep, ask::CancelStep, ask::DrawPlan,
                 ask::ClosePlan, ask::BeginToggled, ask::SetToggled, ask::SetTick, ask::LiveState, ask::KeepPast,
                 ask::SetKeepSeconds, ask::RemoveRecording, ask::SetRole, ask::SetSpot, ask::ShowStore, ask::Store,
                 ask::ShowRecording, ask::SelectTone, ask::SelectRate, ask::StepSelection, ask::SetAxis,
                 ask::ZoomToSelection, ask::ShowAll, ask::SetDivision, ask::ShowTab, ask::SortTones,
                 ask::SetSpectrogram, ask::SetHistorySeconds, ask::AddMark, ask::NameMark, ask::FollowTone,
                 ask::RestartFollow, ask::Click, ask::NameSpot, ask::SetLook, ask::SetScale, ask::ShowOver,
                 ask::AcceptCaution, ask::SavePicture, ask::SaveFindings, ask::CopySummary, ask::Quit, ask::Dismiss>;

using Requests = std::vector<Request>;

}  // namespace tattletone::window
