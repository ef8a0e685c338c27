#include "report/next_steps.h"

#include <algorithm>

#include "base/text/printable.h"
#include "report/text/next.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr std::size_t most_steps = 4, most_experiments = 2;

bool states_said(const match::Findings& findings) {
    return std::any_of(findings.unit.takes.begin(), findings.unit.takes.end(),
                       [](const tones::Take& take) { return !take.state.empty(); });
}

NextStep of_experiment(const match::Experiment& experiment) {
    std::string todo = todo_words(experiment);
    if (todo.ends_with('.')) todo.pop_back();
    std::string why = prediction_words(experiment);
    if (!experiment.caution.empty()) why += (why.empty() ? "" : " ") + experiment.caution;
    return {todo, base::printable(experiment.option), why};
}

NextStep of_state(const match::Findings& findings, bool said) {
    if (findings.states_left.empty())
        return {"Name the board's operating states in the sheet ([board] states) and record each, 10 s",
                "--state NAME=FILE", ""};
    const std::string state = base::printable(findings.states_left[0]);
    if (said) return {"Record the state '" + state + "' too, 10 s", "--state " + state + "=FILE", ""};
    return {"Record another state too, 10 s, and name each", "--state " + state + "=FILE", ""};
}

NextStep of_suspect(const match::Findings& findings) {
    const std::string rate = findings.suspects.empty() ? "" : base::printable(findings.suspects[0].rate);
    const std::string part = rate.substr(0, rate.find('.'));
    return {"Stop " + (part.empty() ? "the suspect" : part) + " or move its rate, and record again",
            part.empty() ? "" : "--off " + part + ":FILE", ""};
}

bool was_off(const match::Findings& findings, const std::string& rate, const std::string& part) {
    for (const tones::Take& take : findings.unit.takes)
        for (const tones::Change& change : take.changes)
            if (change.hz <= 0.0 && (base::printable(change.what) == rate || base::printable(change.what) == part))
                return true;
    return false;
}

/// What tells a second source on a rate's clock from a switch that did nothing.
void add_twin_steps(const match::Findings& findings, std::vector<NextStep>& steps) {
    constexpr double likely = 0.5;
    for (const match::Rival& rival : findings.rivals) {
        if (rival.kind != match::RivalKind::twin || rival.probability < likely) continue;
        const std::string rate = base::printable(rival.rate), part = rate.substr(0, rate.find('.'));
        if (!was_off(findings, rate, part)) continue;
        steps.push_back({"See whether " + part +
                             " really stops, by its enable line or the current that the board draws, "
                             "and record once more without it",
                         "--off " + part + ":FILE",
                         "If it stops and the tone stays, another part runs on the same clock: move " + rate +
                             " alone (--changed " + rate + "=HZ:FILE), and see what stays where it was."});
        return;
    }
}

void add_bench_steps(const match::Findings& findings, std::vector<NextStep>& steps) {
    const auto experiments = experiments_worth_doing(findings);
    bool state = false;
    add_twin_steps(findings, steps);
    for (std::size_t i = 0; i < experiments.size() && i < most_experiments; ++i) {
        if (experiments[i]->kind == match::Trial::room) continue;
        steps.push_back(of_experiment(*experiments[i]));
        state = state || experiments[i]->kind == match::Trial::state;
    }
    if (!state && (!findings.states_left.empty() || !states_said(findings)))
        steps.push_back(of_state(findings, states_said(findings)));
    if (findings.verdict == match::Verdict::unknown && experiments.empty())
        steps.push_back(
            {"Look for an activity that the board sheet does not list: a timer, a bus poll, a converter at light load",
             "", ""});
    if (findings.verdict == match::Verdict::named && experiments.empty()) steps.push_back(of_suspect(findings));
}

}  // namespace

bool every_take_says(const match::Findings& findings, std::string_view beginning) {
    return !findings.unit.takes.empty() &&
           std::all_of(findings.unit.takes.begin(), findings.unit.takes.end(), [&](const tones::Take& take) {
               return std::any_of(take.found.notices.begin(), take.found.notices.end(),
                                  [&](const std::string& notice) { return notice.starts_with(beginning); });
           });
}

bool tells_nothing(const match::Findings& findings) {
    return findings.unit.tones.empty() &&
           (every_take_says(findings, "silence:") || every_take_says(findings, "too short:"));
}

std::vector<NextStep> next_steps(const match::Findings& findings) {
    if (findings.unit.tones.empty() && every_take_says(findings, "silence:"))
        return {
            {"See that the right microphone is chosen and not muted ('tattletone devices' lists them), tap it while "
             "recording, and record again",
             "", "Nothing reached the recorder."}};
    if (findings.unit.tones.empty() && every_take_says(findings, "too short:"))
        return {{"Record again for 10 s or more", "", "A longer recording tells rates apart and finds fainter tones."}};
    std::vector<NextStep> steps;
    if (findings.board.empty())
        steps.push_back(
            {"Declare the board's parts and rates in a board sheet ('tattletone help sheet')", "--board SHEET", ""});
    if (!findings.board.empty() && findings.verdict == match::Verdict::quiet)
        steps.push_back(
            {"Hold the microphone within a few centimetres of the board, switch speech enhancement off "
             "('tattletone devices' says how), and record 10 s or more in each state",
             findings.states_left.empty() ? "" : "--state " + base::printable(findings.states_left[0]) + "=FILE", ""});
    const bool heard = findings.verdict != match::Verdict::quiet;
    if (heard && !findings.unit.room_given)
        steps.push_back({"Record the room with the board off, 5 s", "--room FILE", ""});
    if (!findings.board.empty() && heard) add_bench_steps(findings, steps);
    if (steps.size() > most_steps) steps.resize(most_steps);
    return steps;
}

std::string next_step(const match::Findings& findings) {
    const auto steps = next_steps(findings);
    if (steps.empty()) return {};
    const NextStep& first = steps[0];
    return first.todo + (first.option.empty() ? "." : ": " + first.option + ".") +
           (first.why.empty() ? "" : " " + first.why);
}

}  // namespace tattletone::report
