#include "window/answer.h"

#include <algorithm>

#include "base/text/number.h"
#include "report/audible.h"
#include "report/text/columns.h"
#include "report/text/next.h"
#include "report/text/undeclared.h"
#include "report/toggle_report.h"
#include "report/words.h"

namespace tattletone::window {
namespace {

bool has_room(const session::SessionState& session) {
    return std::any_of(session.recordings.begin(), session.recordings.end(),
                       [](const session::SessionRecording& recording) { return recording.room; });
}

bool has_state(const session::SessionState& session, const std::string& state) {
    return std::any_of(
        session.recordings.begin(), session.recordings.end(),
        [&](const session::SessionRecording& recording) { return !recording.far && recording.state == state; });
}

std::size_t ready_takes(const session::SessionState& session) {
    return static_cast<std::size_t>(std::count_if(
        session.recordings.begin(), session.recordings.end(),
        [](const session::SessionRecording& r) { return r.picture && !r.room && !r.far && r.same_as.empty(); }));
}

std::string basis_of(const session::SessionState& session) {
    const std::size_t takes = ready_takes(session);
    std::string text;
    if (session.live_counts) text = session.demo ? "the demo as if live" : "the last seconds heard live";
    if (takes > 0) {
        if (!text.empty()) text += " and ";
        text += std::to_string(takes) + (takes == 1 ? " recording" : " recordings");
    }
    if (text.empty()) return text;
    text = "from " + text + (session.room_given ? ", against the room" : "");
    if (session.confirmed && session.findings)
        for (const match::Suspect& suspect : session.findings->suspects)
            if (session.confirmed->factors.count(suspect.rate) > 0)
                return text + ", heeding what this bench said of " + base::printable(suspect.rate);
    return text;
}

std::vector<std::string> warnings_of(const session::SessionState& session) {
    std::vector<std::string> warnings;
    if (const session::Snapshot* live = session.live.get()) {
        if (!live->message.empty()) warnings.push_back(live->message);
        if (live->level.clipping) warnings.push_back("Clipping: turn the microphone's gain down or move it away.");
        if (live->lost_frames > 0)
            warnings.push_back(std::to_string(live->lost_frames) +
                               " samples were lost: the computer is too busy. Close other programs.");
        if (live->dropouts > 0)
            warnings.push_back("The system dropped sound " + std::to_string(live->dropouts) +
                               (live->dropouts == 1 ? " time." : " times."));
        if (live->tones)
            for (const std::string& notice : live->tones->notices) warnings.push_back(notice);
    }
    for (const session::SessionRecording& recording : session.recordings) {
        if (!recording.trouble.empty()) warnings.push_back(recording.trouble);
        if (!recording.picture) continue;
        for (const std::string& notice : recording.picture->found.notices)
            warnings.push_back(recording.name + ": " + notice);
    }
    if (!session.trial_trouble.empty()) warnings.push_back(session.trial_trouble);
    if (session.findings)
        warnings.insert(warnings.end(), session.findings->notices.begin(), session.findings->notices.end());
    for (std::string& warning : warnings) warning = base::printable(warning);
    return warnings;
}

/// "lamp and screen"; empty where nothing was tried or proven.
std::string proven_parts(const session::SessionState& session) {
    std::string text;
    if (session.trial)
        for (const toggle::PartTrial& part : session.trial->trial.parts)
            if (part.drives == true) text += (text.empty() ? "" : " and ") + base::printable(part.part);
    return text;
}

std::vector<std::string> undecided_of(const match::Findings& findings) {
    std::vector<std::string> rates;
    for (const match::Suspect& suspect : findings.suspects)
        if (suspect.probability > 0.1 && suspect.probability < 0.9) rates.push_back(suspect.rate);
    return rates;
}

/// A state without a recording that would tell something new; empty where there is none.
std::string state_to_record(const session::SessionState& session, const match::Findings& findings) {
    const board::BoardSheet& sheet = *session.sheet;
    const std::vector<std::string> undecided = undecided_of(findings);
    const bool any = std::any_of(sheet.states.begin(), sheet.states.end(),
                                 [&](const std::string& state) { return has_state(session, state); });
    const auto tells = [&](const std::string& state) {
        if (!any || findings.verdict != match::Verdict::named) return true;
        int run = 0, stand = 0;
        for (const board::Rate& rate : sheet.rates)
            if (std::find(undecided.begin(), undecided.end(), rate.full_name) != undecided.end())
                ++(sheet.active(rate, sheet.state_index(state)) ? run : stand);
        return run > 0 && stand > 0;
    };
    for (const std::string& state : sheet.states)
        if (!has_state(session, state) && tells(state)) return state;
    return "";
}

std::string next_for_findings(const session::SessionState& session, const match::Findings& findings) {
    if (session.demo) return "That was the demo: now open your own board's sheet and choose a microphone.";
    if (!session.sheet)
        return session.sheet_errors.empty() ? "Open the board's sheet to learn which part it is."
                                            : "Mend the board sheet; it is read again by itself.";
    if (!proven_parts(session).empty())
        return "Change something at that part, then repeat the plan: what it drives must be less or gone.";
    constexpr const char* record_the_room =
        "Switch the board off and record the room: what is still there is not the board.";
    if (!has_room(session) && findings.verdict != match::Verdict::quiet) return record_the_room;
    const bool state_unsaid = std::any_of(
        session.recordings.begin(), session.recordings.end(),
        [](const session::SessionRecording& r) { return !r.room && !r.far && r.picture && r.state.empty(); });
    if (state_unsaid && !session.listening && !session.sheet->states.empty())
        return "Say under 'Recordings' (4) in which state each was made: a tone that goes with its "
               "state is strong evidence.";
    if (const std::string best = report::next_sentence(findings); !best.empty()) return best;
    const std::string state = state_to_record(session, findings);
    if (!state.empty())
        return "Bring the board into '" + base::printable(state) +
               "' and record that: a tone that goes with its state is strong evidence.";
    if (!has_room(session)) return record_the_room;
    if (findings.verdict == match::Verdict::quiet)
        return "Hold the microphone two to five centimetres from the board, in each of its states.";
    if (findings.verdict == match::Verdict::unknown)
        return "Look for an activity that the sheet does not list: a timer, a bus poll, a "
               "converter "
               "at light load.";
    if (undecided_of(findings).size() > 1) return "Stop one of the suspects, or change its rate, and record again.";
    return "Stop the suspect or change its rate: its tones must go or move with it.";
}

}  // namespace

Answer answer_of(const session::SessionState& session) {
    Answer answer;
    answer.warnings = warnings_of(session);
    answer.basis = basis_of(session);
    const bool any_take = std::any_of(session.recordings.begin(), session.recordings.end(),
                                      [](const session::SessionRecording& r) { return !r.room; });
    if (session.step && session.live && session.step->plan) {
        const double left = std::max(0.0, session.step->seconds - session.live->capture_seconds);
        answer.mood = Mood::waiting;
        answer.headline = "Recording with the toggle plan, " + base::fixed(left, 0) + " s left";
        answer.next = session.step->by_hand ? "Switch as you are told (T)." : "The firmware switches meanwhile.";
        return answer;
    }
    if (session.step && session.live) {
        answer.mood = Mood::waiting;
        const double left = std::max(0.0, session.step->seconds - session.live->capture_seconds);
        answer.headline =
            session.step->room ? "Board off, please: recording the room, " + base::fixed(left, 0) + " s left"
            : session.step->far
                ? "Microphone 60 cm from the board, please: recording, " + base::fixed(left, 0) + " s left"
                : "Recording '" + base::printable(session.step->state) + "', " + base::fixed(left, 0) + " s left";
        answer.next = "Keep still, touch nothing, do not speak.";
        return answer;
    }
    if (session.findings) {
        const match::Findings& findings = *session.findings;
        answer.parts = report::answer_parts(findings);
        answer.headline = answer.parts->answer;
        if (session.trial) answer.trial = report::trial_sentences(findings, *session.trial);
        if (!session.trying.empty())
            answer.trial = {"Comparing " + base::printable(session.trying) + " with its toggle plan …"};
        for (std::string& sentence : answer.trial) sentence = base::printable(sentence);
        const std::string proven = proven_parts(session);
        if (!proven.empty()) answer.headline = "Proven by the toggle plan: " + proven + ". " + answer.headline;
        answer.next = next_for_findings(session, findings);
        answer.mood = findings.verdict == match::Verdict::named || !proven.empty() ? Mood::named
                      : findings.verdict == match::Verdict::unknown                ? Mood::unknown
                                                                                   : Mood::quiet;
        return answer;
    }
    if (session.opening) {
        answer.mood = Mood::waiting;
        answer.headline = "Opening the microphone …";
    } else if (session.listening) {
        answer.mood = Mood::waiting;
        answer.headline = "Listening …";
        answer.next = "Hold the board two to five centimetres from the microphone.";
    } else if (!session.device_awaited.empty() && !session.busy && !any_take) {
        answer.mood = Mood::waiting;
        answer.headline = "Waiting for the microphone '" + base::printable(session.device_awaited) + "'";
        answer.next = "Plug it in; it is opened by itself. Or choose another one.";
    } else if (session.busy || any_take) {
        answer.mood = Mood::waiting;
        answer.headline =
            session.busy ? "Reading " + base::printable(session.busy_with) + " …" : "No recording could be read";
    } else if (session.sheet) {
        answer.headline = "Nothing heard yet";
        answer.next = "Choose a microphone, or drop recordings here.";
    } else if (!session.sheet_errors.empty()) {
        answer.headline = "The board sheet has errors";
        answer.next = "Mend it in your editor; it is read again by itself.";
    } else {
        answer.headline = "Which part of the board is singing?";
        answer.next = "Open a board sheet, then choose a microphone or drop recordings here.";
    }
    return answer;
}

std::string summary_of(const session::SessionState& session) {
    if (!session.findings) return "Nothing was measured yet.";
    const match::Findings& findings = *session.findings;
    std::string text;
    if (!findings.board.empty()) text = base::printable(findings.board) + ": ";
    text += report::answer_line(findings);
    const report::AnswerParts parts = report::answer_parts(findings);
    const auto add = [&](const char* word, const std::vector<std::string>& sentences) {
        std::string list;
        for (std::size_t i = 0; i < std::min<std::size_t>(2, sentences.size()); ++i)
            list += (i == 0 ? "" : "; ") + sentences[i];
        if (!list.empty()) text += std::string(" ") + word + ": " + list + ".";
    };
    if (!parts.cases.empty()) {
        add("For", parts.cases[0].speaks_for);
        add("Against", parts.cases[0].speaks_against);
    }
    if (session.trial)
        for (const std::string& sentence : report::trial_sentences(findings, *session.trial))
            text += " " + base::printable(sentence);
    add("Open", parts.open);
    const auto board = report::without_combs(report::tones_of(findings, true));
    if (!board.empty()) {
        text += " " + report::board_tones_heading(findings) + ": ";
        for (std::size_t i = 0; i < std::min<std::size_t>(6, board.size()); ++i)
            text += (i == 0 ? "" : ", ") + report::frequency_words(findings, board[i]->tone) + " Hz (" +
                    base::fixed(board[i]->tone.level_dbfs, 1) + " dBFS)";
        text += board.size() > 6 ? " and " + std::to_string(board.size() - 6) + " more." : ".";
    }
    const std::string basis = basis_of(session);
    if (!basis.empty()) text += " Judged " + basis + ".";
    return text + " A probability is a lead to check, not a proof.";
}

std::string live_words(const session::Snapshot& snapshot) {
    std::string text = snapshot.paused ? "paused" : base::fixed(snapshot.seconds_heard, 1) + " s heard";
    if (snapshot.seconds_heard > 0.0 && snapshot.level.rms_dbfs > -300.0)
        text += ", " + base::fixed(snapshot.level.rms_dbfs, 1) + " dBFS";
    return text;
}

std::string explanation_of(const match::Findings& findings, const tones::UnitTone& tone) {
    const auto found = findings.explained_by.find(tone.id);
    if (found != findings.explained_by.end() && !found->second.empty()) {
        const match::Explanation& best = found->second.front();
        return report::explanation_words(best) + " (" + report::probability_number(best.probability) + ")" +
               (tone.tone.faint ? "; faint" : "");
    }
    if (const std::string line = report::undeclared_line_words(findings, tone); !line.empty()) return line;
    if (!tone.tone.rejection.empty()) return base::printable(tone.tone.rejection);
    if (findings.board.empty()) return "no board sheet";
    return "none of the declared rates";
}

std::vector<StepView> steps_of(const session::SessionState& session) {
    std::vector<StepView> steps;
    const auto running = [&](bool room, const std::string& state, bool far = false) {
        return session.step && session.step->room == room && session.step->far == far && session.step->state == state;
    };
    const double share = session.step && session.live && session.step->seconds > 0.0
                             ? session.live->capture_seconds / session.step->seconds
                             : 0.0;
    steps.push_back({true, "", "room", has_room(session), running(true, ""), share});
    if (session.sheet)
        for (const std::string& state : session.sheet->states)
            steps.push_back(
                {false, state, base::printable(state), has_state(session, state), running(false, state), share});
    if (!session.sheet || session.sheet->states.empty())
        steps.push_back({false, "", "board", ready_takes(session) > 0, running(false, ""), share});
    const bool far_done = std::any_of(session.recordings.begin(), session.recordings.end(),
                                      [](const session::SessionRecording& recording) { return recording.far; });
    steps.push_back(
        {false, session.live_state, "60 cm away", far_done, session.step && session.step->far, share, true});
    return steps;
}

}  // namespace tattletone::window
