#include <algorithm>
#include <cfloat>
#include <cmath>
#include <random>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "session/sitting/toggled.h"
#include "toggle/plan/power.h"
#include "toggle/plan/prompt.h"
#include "window/drawing/brush.h"
#include "window/panels/panels.h"

namespace tattletone::window {
namespace {

constexpr double now_seconds = 1.5;  // so long "now" is said after a switching
constexpr double soon_seconds = 3.0;
constexpr double behind_seconds = 4.0, ahead_seconds = 16.0;

std::string listed(const std::vector<std::string>& parts) {
    std::string text;
    for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + base::printable(part);
    return text;
}

std::string minutes_words(double seconds) {
    const int whole = static_cast<int>(std::ceil(seconds - 1e-9));
    if (whole < 120) return std::to_string(whole) + " s";
    return std::to_string(whole / 60) + " min" + (whole % 60 != 0 ? " " + std::to_string(whole % 60) + " s" : "");
}

/// Each part's steps between two moments as bars, on where they are filled. `now`: where the line stands, if any.
void bars(const toggle::Plan& plan, const Brush& brush, float height, double from, double to, bool with_now) {
    const Palette& c = brush.colours;
    ImDrawList* const list = ImGui::GetWindowDrawList();
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float names = 8.0f * brush.unit, width = ImGui::GetContentRegionAvail().x - names - 0.5f * brush.unit;
    const auto x_of = [&](double seconds) {
        return at.x + names + width * static_cast<float>(std::clamp((seconds - from) / (to - from), 0.0, 1.0));
    };
    const float row = height / static_cast<float>(plan.parts.size());
    for (std::size_t part = 0; part < plan.parts.size(); ++part) {
        const float top = at.y + row * static_cast<float>(part) + 0.12f * row, bottom = top + 0.76f * row;
        text_within(brush, brush.small, ImVec2(at.x, 0.5f * (top + bottom - brush.small->FontSize)),
                    names - 0.5f * brush.unit, c.text, base::printable(plan.parts[part]));
        for (std::size_t step = 0; step < plan.steps(); ++step) {
            const double begin = static_cast<double>(step) * plan.step_seconds, end = begin + plan.step_seconds;
            if (end <= from || begin >= to) continue;
            if (plan.columns[part][step] != 0)
                list->AddRectFilled(ImVec2(x_of(begin), top), ImVec2(x_of(end), bottom), ink(c.board));
            else
                list->AddLine(ImVec2(x_of(begin), bottom - 1.0f), ImVec2(x_of(end), bottom - 1.0f), ink(c.faint_text));
        }
    }
    if (with_now) {
        const float x = x_of(from + behind_seconds);
        list->AddLine(ImVec2(x, at.y - 0.2f * brush.unit), ImVec2(x, at.y + height + 0.2f * brush.unit), ink(c.text),
                      2.0f);
    }
    ImGui::Dummy(ImVec2(1, height + 0.3f * brush.unit));
}

void line(const Brush& brush, ImFont* font, Colour colour, const std::string& text) {
    ImGui::PushFont(font);
    ImGui::PushStyleColor(ImGuiCol_Text, ink4(colour));
    ImGui::TextWrapped("%s", text.c_str());
    ImGui::PopStyleColor();
    ImGui::PopFont();
    note_item(brush, text);
}

/// Each part as it should be now: a filled box is on. Boxes are as wide as the longest name wants.
void boxes(const toggle::Plan& plan, const toggle::Prompt& prompt, std::size_t step, const Brush& brush) {
    const Palette& c = brush.colours;
    ImDrawList* const list = ImGui::GetWindowDrawList();
    const float gap = 0.8f * brush.unit, height = 4.2f * brush.unit;
    const auto count = static_cast<float>(plan.parts.size());
    const float width = std::min(18.0f * brush.unit, (ImGui::GetContentRegionAvail().x - gap * (count - 1.0f)) / count);
    ImVec2 at = ImGui::GetCursorScreenPos();
    for (std::size_t part = 0; part < plan.parts.size(); ++part) {
        const bool begun = !prompt.now.empty(), on = begun && plan.columns[part][step] != 0;
        const ImVec2 end(at.x + width, at.y + height);
        if (on)
            list->AddRectFilled(at, end, ink(c.board), 0.3f * brush.unit);
        else
            list->AddRect(at, end, ink(c.faint_text), 0.3f * brush.unit, 0, 2.0f);
        const Colour letters = on ? c.ground : begun ? c.text : c.faint_text;
        text_within(brush, brush.text, ImVec2(at.x + 0.6f * brush.unit, at.y + 0.4f * brush.unit), width - brush.unit,
                    letters, base::printable(plan.parts[part]));
        text_within(brush, brush.large, ImVec2(at.x + 0.6f * brush.unit, at.y + 1.9f * brush.unit), width - brush.unit,
                    letters,
                    !begun ? "-"
                    : on   ? "ON"
                           : "OFF");
        brush.places.note("holds " + plan.parts[part] + (!begun ? "" : on ? " ON" : " OFF"), at.x, at.y, width, height);
        at.x += width + gap;
    }
    ImGui::Dummy(ImVec2(1, height + 0.4f * brush.unit));
}

void tick_box(const ViewState& view, const Brush& brush, Requests& asked) {
    bool on = view.tick;
    if (ImGui::Checkbox("tick at each switching", &on)) asked.push_back(ask::SetTick{on});
    note_item(brush, "tick");
    tip("In headphones only. A tick that the microphone hears follows the plan as well, and spoils the proof.");
}

/// While a person switches: what to do now, in letters that are read from a metre away.
void prompts(const session::SessionState& session, const ViewState& view, const Brush& brush, Requests& asked) {
    const toggle::Plan& plan = *session.step->plan;
    const Palette& c = brush.colours;
    const double heard = session.live->capture_seconds, at = heard - toggle::prompt_lead_seconds;
    const toggle::Prompt prompt = toggle::prompt_at(plan, heard);
    const bool is_now = !prompt.changed.empty() && prompt.seconds_since < now_seconds && !prompt.over;
    const int left = static_cast<int>(std::ceil(prompt.seconds_to_next - 1e-9));
    const std::string next = base::printable(prompt.next), in = "In " + std::to_string(left) + " s: " + next;
    std::string big = prompt.over    ? "Done: leave it"
                      : is_now       ? base::printable(prompt.changed) + ", now"
                      : next.empty() ? "Hold to the end"
                                     : in;
    std::string small = prompt.over          ? "The recording ends in a moment."
                        : prompt.now.empty() ? "Get ready: switch when the line says 'now'."
                        : !is_now            ? "Hold it as it is."
                        : next.empty()       ? "Nothing more to switch."
                                             : in;
    if (session.live->paused) big = "Paused";
    const ImVec2 place = ImGui::GetCursorScreenPos();
    brush.places.note("prompts " + big, place.x, place.y, ImGui::GetContentRegionAvail().x, brush.huge->FontSize);
    ImFont* font = brush.huge;
    if (font->CalcTextSizeA(font->FontSize, FLT_MAX, 0.0f, big.c_str()).x > ImGui::GetContentRegionAvail().x)
        font = brush.large;
    const bool soon = !next.empty() && prompt.seconds_to_next <= soon_seconds;
    line(brush, font, is_now ? c.board : soon ? c.warning : c.text, big);
    line(brush, brush.large, c.faint_text, small);
    ImGui::Dummy(ImVec2(1, 0.4f * brush.unit));
    const double step = std::clamp(std::floor(at / plan.step_seconds), 0.0, static_cast<double>(plan.steps() - 1));
    boxes(plan, prompt, static_cast<std::size_t>(step), brush);
    bars(plan, brush, 1.6f * brush.unit * static_cast<float>(plan.parts.size()), at - behind_seconds,
         at + ahead_seconds, true);
    ImGui::ProgressBar(static_cast<float>(std::clamp(heard / session.step->seconds, 0.0, 1.0)),
                       ImVec2(-1, 0.6f * brush.unit), "");
    line(brush, brush.small, c.faint_text,
         "Switching " + std::to_string(prompt.switched) + ", " +
             minutes_words(std::max(0.0, session.step->seconds - heard)) +
             " left. A late hand is no harm if it is much the same each time: it is found as part of the start. "
             "Low voltage only: a connector, a jumper or the supply's own switch, never a contact with mains.");
    if (button(brush, "Stop##toggle", "Esc: nothing is kept")) asked.push_back(ask::CancelStep{});
    ImGui::SameLine();
    tick_box(view, brush, asked);
}

void firmware_runs(const session::SessionState& session, const Brush& brush, Requests& asked) {
    const double left = std::max(0.0, session.step->seconds - session.live->capture_seconds);
    line(brush, brush.huge, brush.colours.text, std::to_string(static_cast<int>(std::ceil(left))) + " s left");
    line(brush, brush.text, brush.colours.text,
         "The firmware repeats the plan; when it began does not matter. Leave board and microphone where they are.");
    ImGui::ProgressBar(static_cast<float>(1.0 - left / session.step->seconds), ImVec2(-1, 0.6f * brush.unit), "");
    if (button(brush, "Stop##toggle", "Esc: nothing is kept")) asked.push_back(ask::CancelStep{});
}

/// Parts of the two likeliest suspects.
std::set<std::string> suspected(const session::SessionState& session) {
    std::set<std::string> parts;
    if (session.findings)
        for (const match::Suspect& suspect : session.findings->suspects)
            if (suspect.probability >= 0.05 && parts.size() < 2)
                parts.insert(suspect.rate.substr(0, suspect.rate.find('.')));
    if (parts.empty() && !session.sheet->parts.empty()) parts.insert(session.sheet->parts[0].id);
    return parts;
}

void number_field(const Brush& brush, const char* label, const char* words, int& value, int least, int most, int by) {
    ImGui::SetNextItemWidth(8.0f * brush.unit);
    ImGui::InputInt(label, &value, by);
    note_item(brush, label);
    value = std::clamp(value, least, most);
    ImGui::SameLine();
    ImGui::TextUnformatted(words);
}

void draw_one(const session::SessionState& session, const Brush& brush, Requests& asked) {
    ImGui::TextWrapped(
        "A frequency that fits is a lead. A proof is an experiment: parts are switched on and off in a random order "
        "that "
        "nothing else can know, and what follows that order is caused by it, whatever else the room does.");
    ImGui::Dummy(ImVec2(1, 0.3f * brush.unit));
    if (!session.sheet) {
        ImGui::TextWrapped(
            "Open the board's sheet to draw a plan for its parts here, or drop a plan's table "
            "(plan.csv, from 'tattletone toggle') on this window.");
        return;
    }
    PlanDraft& draft = brush.drafts.plan;
    std::set<std::string> chosen = draft.parts.value_or(suspected(session));
    ImGui::TextUnformatted("Which parts can you switch, one by one, while it records?");
    ImGui::BeginChild("parts", ImVec2(0, 9.0f * brush.unit), true);
    ImGui::Columns(3, "parts", false);
    for (const board::Part& part : session.sheet->parts) {
        bool on = chosen.count(part.id) > 0;
        const std::string label =
            base::printable(part.id + (part.name == part.id ? "" : ", " + part.name)) + "##" + part.id;
        if (ImGui::Checkbox(label.c_str(), &on)) {
            on ? (void)chosen.insert(part.id) : (void)chosen.erase(part.id);
            draft.parts = chosen;
        }
        note_item(brush, "switch " + part.id);
        ImGui::NextColumn();
    }
    ImGui::Columns(1);
    ImGui::EndChild();
    number_field(brush, "##step", "s a step: at least 3 for a hand", draft.step_seconds, 3, 60, 1);
    ImGui::SameLine(0, 2.0f * brush.unit);
    number_field(brush, "##steps", "steps: more find less", draft.steps, 20, 600, 10);
    const double seconds = draft.step_seconds * draft.steps;
    ImGui::BeginDisabled(chosen.empty() || chosen.size() > toggle::most_parts);
    if (button(brush, "Draw a plan##toggle", "a random order; a new one for each recording")) {
        toggle::PlanWish wish;
        for (const board::Part& part : session.sheet->parts)
            if (chosen.count(part.id) > 0) wish.parts.push_back(part.id);
        wish.seconds = seconds;
        wish.step_seconds = draft.step_seconds;
        wish.by_hand = true;
        wish.seed = std::random_device()();
        asked.push_back(ask::DrawPlan{wish});
    }
    ImGui::EndDisabled();
    ImGui::SameLine();
    ImGui::TextDisabled("%s", chosen.empty()                       ? "Tick the parts."
                              : chosen.size() > toggle::most_parts ? "8 parts at most."
                              : chosen.size() > 2 ? "More than two at a time are hard to follow by hand."
                                                  : ("It will take " + minutes_words(seconds) + ".").c_str());
    ImGui::TextWrapped(
        "Where the firmware can switch them, it does so in half-second steps and finds more: "
        "'tattletone toggle' writes the plan for it; drop its table here.");
}

void with_plan(const session::SessionState& session, const ViewState& view, const Brush& brush, Requests& asked) {
    const toggle::Plan& plan = *session.plan->plan;
    ImGui::Text("%s: %s; %zu steps of %s s, %s.",
                session.plan->name.empty() ? "Drawn here" : base::printable(session.plan->name).c_str(),
                listed(plan.parts).c_str(), plan.steps(), base::trimmed(plan.step_seconds, 2).c_str(),
                minutes_words(plan.seconds()).c_str());
    note_item(brush, "plan");
    bars(plan, brush, 1.5f * brush.unit * static_cast<float>(plan.parts.size()), 0.0, plan.seconds(), false);
    line(brush, brush.small, brush.colours.faint_text,
         "It proves, nine times in ten, a steady tone that goes away with its part from " +
             base::fixed(session.plan->whole_from_db, 0) +
             " dB tone-to-noise ratio on (at 4 kHz; p of chance 0.001 or less). Microphone near the board, and still.");
    const bool can_listen = session.live && !session.demo && !session.live->paused;
    const bool by_hand = plan.step_seconds >= 0.5 * toggle::by_hand_step_seconds;
    ImGui::BeginDisabled(!can_listen || !by_hand);
    if (button(brush, "Begin: I switch by hand##toggle",
               by_hand ? "you are told when to switch what" : "its steps are too short for a hand"))
        asked.push_back(ask::BeginToggled{true});
    ImGui::EndDisabled();
    ImGui::SameLine();
    ImGui::BeginDisabled(!can_listen);
    if (button(brush, "Begin: the firmware switches##toggle", "it repeats the plan already; only record"))
        asked.push_back(ask::BeginToggled{false});
    ImGui::EndDisabled();
    ImGui::SameLine();
    if (button(brush, "Another plan##toggle", "puts this one away")) asked.push_back(ask::ClosePlan{});
    if (by_hand) tick_box(view, brush, asked);
    if (!can_listen) line(brush, brush.small, brush.colours.trouble, "To record: choose a microphone above first.");
    if (std::none_of(session.recordings.begin(), session.recordings.end(),
                     [](const auto& one) { return !one.room && !one.far; }))
        return;
    ImGui::Separator();
    ImGui::TextUnformatted("Or a recording was made with it already:");
    for (const session::SessionRecording& one : session.recordings) {
        if (one.room || one.far) continue;
        bool made = one.plan == session.plan->plan;
        if (ImGui::Checkbox((base::printable(one.name) + "##" + std::to_string(one.id)).c_str(), &made))
            asked.push_back(ask::SetToggled{one.id, made});
        note_item(brush, "made with it " + one.name);
    }
}

float rows_of(const session::SessionState& session, bool runs) {
    if (runs && !session.step->by_hand) return 14.0f;
    if (runs) return 21.5f + 1.6f * static_cast<float>(session.step->plan->parts.size());
    if (!session.plan) return session.sheet ? 25.0f : 13.0f;
    const auto made = std::count_if(session.recordings.begin(), session.recordings.end(),
                                    [](const auto& one) { return !one.room && !one.far; });
    return 18.0f + 1.5f * static_cast<float>(session.plan->plan->parts.size()) +
           (made > 0 ? 2.5f + 1.8f * static_cast<float>(std::min<std::ptrdiff_t>(made, 6)) : 0.0f);
}

}  // namespace

Requests toggle_panel(const Shown& shown, const ViewState& view, const Brush& brush) {
    Requests asked;
    const session::SessionState& session = *shown.session;
    const bool runs = session.step && session.step->plan && session.live;
    begin_over("toggle", brush, 66, rows_of(session, runs),
               runs ? "The toggle plan: recording" : "Proof in one take: the toggle plan");
    ImGui::Separator();
    ImGui::Dummy(ImVec2(1, 0.3f * brush.unit));
    if (runs) {
        session.step->by_hand ? prompts(session, view, brush, asked) : firmware_runs(session, brush, asked);
    } else {
        session.plan ? with_plan(session, view, brush, asked) : draw_one(session, brush, asked);
        if (!session.notes.empty() && session.notes.back().trouble) {
            line(brush, brush.small, brush.colours.trouble, session.notes.back().text);
            if (button(brush, "x##toggle note", "Away with this message"))
                asked.push_back(ask::Dismiss{session.notes.back().id});
        }
        ImGui::Dummy(ImVec2(1, 0.3f * brush.unit));
        if (button(brush, "Close##toggle", "Esc")) asked.push_back(ask::ShowOver{Over::nothing});
    }
    ImGui::End();
    return asked;
}

}  // namespace tattletone::window
