#include <algorithm>

#include "base/files/paths.h"
#include "session/sitting/session.h"
#include "session/sitting/toggled.h"
#include "sound/clip/clip_reader.h"
#include "sound/clip/memory_guard.h"
#include "toggle/plan/power.h"
#include "toggle/plan/prompt.h"

namespace tattletone::session {
namespace {

std::string name_of(const std::string& path) {
    return base::utf8_of(base::path_of(path).filename());
}

OpenPlan opened(const std::string& name, toggle::Plan plan, const board::BoardSheet* sheet) {
    const double settle = sheet != nullptr ? toggle::settle_seconds(*sheet, plan.parts) : 0.0;
    const double from = toggle::power_of(plan, settle).whole_from_db;
    return {name, std::make_shared<const toggle::Plan>(std::move(plan)), from};
}

}  // namespace

const SessionRecording* newest_toggled(const std::vector<SessionRecording>& recordings) {
    const auto newest = std::find_if(recordings.rbegin(), recordings.rend(), [](const SessionRecording& one) {
        return one.plan && one.picture && !one.room && !one.far && one.same_as.empty();
    });
    return newest == recordings.rend() ? nullptr : &*newest;
}

Result<toggle::Trial> trial_of(const SessionRecording& recording, const board::BoardSheet* sheet,
                               const tones::UnitTones& unit) {
    if (recording.path.empty())
        return Error{recording.name, "it is not in a file, so it cannot be compared with the plan",
                     "Choose a folder for recordings with --folder, and record it anew"};
    const tones::Tones& found = recording.picture->found;
    if (const auto error = toggle::too_long_to_try(recording.name, found.seconds, found.sample_rate_hz)) return *error;
    if (sheet != nullptr)
        if (const auto error = other_sheet({recording.name, recording.plan}, *sheet)) return *error;
    return sound::with_memory_for(recording.path, [&]() -> Result<toggle::Trial> {
        const auto sound = sound::read_clip(recording.path);
        if (!sound) return sound.error();
        return toggle::try_plan(*recording.plan, sheet, *sound, unit, found);
    });
}

std::optional<Error> other_sheet(const OpenPlan& plan, const board::BoardSheet& sheet) {
    for (const std::string& part : plan.plan->parts)
        if (std::none_of(sheet.parts.begin(), sheet.parts.end(),
                         [&](const board::Part& one) { return one.id == part; }))
            return Error{plan.name, "the board sheet has no part '" + part + "', which the plan switches",
                         "Open the sheet for which the plan was drawn"};
    return std::nullopt;
}

double toggled_seconds(const toggle::Plan& plan, bool by_hand) {
    return plan.seconds() + (by_hand ? toggle::prompt_lead_seconds + 1.0 : plan.step_seconds);
}

void Session::open_plan(const std::string& path) {
    enqueue([this, path] {
        auto plan = toggle::read_plan(path);
        if (!plan) return tell(true, base::to_sentence(plan.error()));
        const auto sheet = newest()->sheet;
        const OpenPlan open = opened(name_of(path), std::move(*plan), sheet.get());
        change([&](SessionState& state) { state.plan = open; });
    });
}

void Session::draw_plan(const toggle::PlanWish& wish) {
    const auto state = newest();
    if (!state->sheet) return tell(true, "Open the board's sheet first: its parts are what the plan switches.");
    auto plan = toggle::draw_plan(*state->sheet, wish);
    if (!plan) return tell(true, base::to_sentence(plan.error()));
    const OpenPlan open = opened("", std::move(*plan), state->sheet.get());
    change([&](SessionState& next) { next.plan = open; });
}

void Session::close_plan() {
    change([](SessionState& state) { state.plan.reset(); });
}

void Session::begin_toggled(bool by_hand) {
    const auto state = newest();
    if (!state->plan) return;
    if (state->sheet)
        if (const auto error = other_sheet(*state->plan, *state->sheet)) return tell(true, base::to_sentence(*error));
    GuidedStep step;
    step.state = state->live_state;
    step.seconds = toggled_seconds(*state->plan->plan, by_hand);
    step.plan = state->plan->plan;
    step.by_hand = by_hand;
    begin_step(step);
}

void Session::set_toggled(int id, bool toggled) {
    change(
        [&](SessionState& state) {
            SessionRecording* const recording = find(state, id);
            if (recording != nullptr) recording->plan = toggled && state.plan ? state.plan->plan : nullptr;
        },
        true);
}

std::optional<match::TrialJoin> Session::try_newest(const SessionState& inputs, const tones::UnitTones& unit,
                                                    Tried& tried) {
    const SessionRecording* const toggled = newest_toggled(inputs.recordings);
    if (toggled == nullptr) {
        tried = Tried();
        return std::nullopt;
    }
    Tried now;
    now.plan = toggled->plan.get();
    now.sheet = inputs.sheet.get();
    for (const SessionRecording& one : inputs.recordings)
        if (one.picture && one.same_as.empty()) now.among.emplace_back(one.id, one.room, one.far, one.picture);
    if (now.plan != tried.plan || now.sheet != tried.sheet || now.among != tried.among || !tried.trial) {
        change([&](SessionState& state) { state.trying = toggled->name; });
        now.trial = trial_of(*toggled, now.sheet, unit);
        tried = std::move(now);
    }
    if (!*tried.trial) return std::nullopt;
    return match::TrialJoin{**tried.trial, {}};
}

/// Beside the clip: without its plan it proves nothing.
void Session::keep_plan(int id, const std::string& clip_path) {
    std::shared_ptr<const toggle::Plan> plan;
    {
        const std::scoped_lock lock(mutex_);
        if (const SessionRecording* const recording = find(next_, id)) plan = recording->plan;
    }
    if (!plan) return;
    const std::string path = clip_path.substr(0, clip_path.rfind('.')) + ".csv";
    if (const auto error = base::write_output({base::OutputKind::toggle_plan, path}, toggle::plan_csv(*plan)))
        tell(true, base::to_sentence(*error));
}

}  // namespace tattletone::session
