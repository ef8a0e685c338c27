#include "report/text/next.h"

#include <algorithm>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "match/experiments/experiments.h"
#include "match/explain/wording.h"
#include "match/json/findings_json.h"
#include "report/next_steps.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

using Kind = match::Forecast::Effect;

constexpr double worth_doing_bits = 0.05;
constexpr double certain_from = 0.95;  // from here on the suspect is to be confirmed, not sought
constexpr std::size_t most_shown = 8;

std::string effect_words(const match::Experiment& experiment, const match::Forecast& prediction) {
    switch (prediction.effect) {
        case Kind::stays:
            return experiment.kind == match::Trial::room  ? "is not in the room recording"
                   : experiment.kind == match::Trial::far ? "stays nearly as loud"
                                                          : "stays";
        case Kind::goes:
            return "goes";
        case Kind::moves:
            return "moves to " + match::as_hz(prediction.hz);
        case Kind::drifts:
            return "drifts by tenths of a per cent";
        case Kind::changes_level:
            return "changes its level";
        case Kind::is_in_room:
            return "is in the room recording too";
        case Kind::falls:
            return "falls by some 24 dB or is no longer heard";
        case Kind::appears:
            return "a line comes out of the noise, likeliest at " + match::as_hz(prediction.tone_hz);
    }
    return {};
}

std::string who(const match::Forecast& prediction) {
    return prediction.rate.empty() ? "something undeclared" : base::printable(prediction.rate);
}

std::string upper_first(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string subject(const match::Forecast& prediction, bool first) {
    if (prediction.effect == Kind::appears) return "";
    return first ? "the tone at " + match::as_hz(prediction.tone_hz) + " " : "it ";
}

std::string suspects_line(const match::Findings& findings) {
    std::string text;
    for (const match::Suspect& suspect : findings.suspects) {
        if (suspect.probability < 0.05 && !text.empty()) break;
        text +=
            (text.empty() ? "" : ", ") + base::printable(suspect.rate) + " " + probability_number(suspect.probability);
    }
    return text;
}

// One bit decides between two equal suspects.
std::string weight_words(const match::Experiment& experiment) {
    if (experiment.bits >= 0.7) return "tells nearly all there is to tell between two";
    if (experiment.bits >= 0.3) return "tells much";
    if (experiment.bits >= 0.1) return "tells something";
    return "tells little";
}

bool certain(const match::Findings& findings) {
    return !findings.next.empty() && findings.next[0].sure_now >= certain_from;
}

std::string entry(const match::Experiment& experiment, std::size_t number, const TextStyle& style) {
    const std::string head = std::to_string(number) + ". ", indent(head.size() + 2, ' ');
    std::string text = wrapped(todo_words(experiment), style.columns, "  " + head, indent);
    bool first = true;
    for (const match::Forecast& prediction : experiment.predictions) {
        text += wrapped("if " + who(prediction) + " (" + probability_number(prediction.probability) +
                            " now): " + subject(prediction, first) + effect_words(experiment, prediction) +
                            "; if so, " + probability_number(prediction.after),
                        style.columns, indent + "- ", indent + "  ");
        first = false;
    }
    text += wrapped(weight_words(experiment) + ": one is " + probability_number(experiment.sure_now) +
                        " sure now, and would be " + probability_number(experiment.sure_after) + " on average",
                    style.columns, indent, indent);
    if (!experiment.option.empty())
        text += wrapped("give it as " + base::printable(experiment.option), style.columns, indent, indent);
    if (!experiment.caution.empty()) text += wrapped("! " + experiment.caution, style.columns, indent, indent + "  ");
    return text;
}

// Where a part can be switched and two are suspected, an order drawn at random proves what an experiment only weighs.
std::string proof_words(const match::Findings& findings) {
    std::vector<std::string> parts;
    for (const match::Suspect& suspect : findings.suspects) {
        const std::string part = suspect.rate.substr(0, suspect.rate.find('.'));
        if (suspect.probability >= 0.05 && parts.size() < 4 &&
            std::find(parts.begin(), parts.end(), part) == parts.end())
            parts.push_back(part);
    }
    const bool switchable = std::any_of(findings.next.begin(), findings.next.end(), [](const match::Experiment& e) {
        return e.kind == match::Trial::part_off || e.kind == match::Trial::moved_rate;
    });
    if (parts.empty() || !switchable) return {};
    std::string list;
    for (const std::string& part : parts) list += (list.empty() ? "" : ",") + base::printable(part);
    return "Where firmware can switch them, one take proves which part it is: tattletone toggle SHEET --parts " + list +
           " --csv plan.csv --c plan.h";
}

}  // namespace

std::string todo_words(const match::Experiment& experiment) {
    std::string todo = base::printable(experiment.todo);
    if (todo.ends_with('.')) todo.pop_back();
    return todo + " (about " + base::fixed(experiment.minutes, 0) + " min).";
}

std::vector<const match::Experiment*> experiments_worth_doing(const match::Findings& findings) {
    std::vector<const match::Experiment*> list;
    if (certain(findings)) return list;
    for (const match::Experiment& experiment : findings.next)
        if (match::tells_apart(experiment)) list.push_back(&experiment);
    return list;
}

// Suspects that expect the same are told together.
std::string prediction_words(const match::Experiment& experiment) {
    std::vector<std::pair<std::string, std::vector<std::string>>> groups;
    for (const match::Forecast& prediction : experiment.predictions) {
        const std::string words = subject(prediction, groups.empty()) + effect_words(experiment, prediction);
        const std::string bare = effect_words(experiment, prediction);
        auto known = std::find_if(groups.begin(), groups.end(), [&](const auto& group) {
            return group.first == words || group.first.ends_with(" " + bare) || group.first == bare;
        });
        if (known == groups.end()) known = groups.insert(known, {words, {}});
        known->second.push_back(who(prediction));
    }
    std::string text;
    for (const auto& [words, names] : groups) {
        std::string list;
        for (std::size_t i = 0; i < names.size(); ++i)
            list += (i == 0 ? "" : i + 1 == names.size() ? " or " : ", ") + names[i];
        text += (text.empty() ? "if " : "; if ") + list + ": " + words;
    }
    return text.empty() ? text : upper_first(text) + ".";
}

std::size_t experiments_listed(const match::Findings& findings) {
    return std::min(experiments_worth_doing(findings).size(), most_shown);
}

std::string next_sentence(const match::Findings& findings) {
    const auto list = experiments_worth_doing(findings);
    if (list.empty() || list[0]->bits < worth_doing_bits) return {};
    const match::Experiment& first = *list[0];
    return todo_words(first) + " " + prediction_words(first) + " One would be " + probability_number(first.sure_after) +
           " sure on average, against " + probability_number(first.sure_now) + " now." +
           (first.caution.empty() ? "" : " " + first.caution);
}

std::string steps_text(const std::vector<NextStep>& steps, int columns, const std::string& indent) {
    const std::string within = indent + "   ";
    std::string text;
    for (std::size_t i = 0; i < steps.size(); ++i) {
        const NextStep& step = steps[i];
        text += wrapped(step.todo + (step.option.empty() ? "" : ":"), columns, indent + std::to_string(i + 1) + ". ",
                        within);
        if (!step.option.empty()) {
            // In one piece: on the last line where that has room.
            const std::size_t begin = text.rfind('\n', text.size() - 2) + 1;
            const std::string last = text.substr(begin, text.size() - 1 - begin);
            if (display_columns(last) + 1 + display_columns(step.option) <= columns)
                text.replace(text.size() - 1, 1, " " + step.option + "\n");
            else
                text += wrapped(step.option, columns, within, within);
        }
        if (!step.why.empty()) text += wrapped(step.why, columns, within, within);
    }
    return text;
}

std::string next_text(const match::Findings& findings, const TextStyle& given) {
    TextStyle style = given;
    style.columns = std::max(style.columns, 40);
    std::string text = wrapped(answer_line(findings), style.columns);
    const std::string suspects = suspects_line(findings);
    if (!suspects.empty()) text += wrapped("Suspects now: " + suspects + ".", style.columns);
    for (const std::string& outcome : findings.outcomes)
        text += wrapped("- " + upper_first(base::printable(outcome)) + ".", style.columns, "  ", "    ");
    text += notices_text(findings, style.columns);
    text += '\n';
    const auto list = experiments_worth_doing(findings);
    if (list.empty()) {
        if (certain(findings)) text += wrapped("The answer is as good as certain; confirm it.", style.columns);
        return text + steps_text(next_steps(findings), style.columns, "  ");
    }
    const bool room_is_told = std::any_of(list.begin(), list.end(), [](const match::Experiment* experiment) {
        return experiment->kind == match::Trial::room;
    });
    if (!findings.unit.room_given && !room_is_told)
        text += wrapped("Before all: " + next_step(findings), style.columns);
    text += wrapped("What to do next, that which tells most per minute of effort first:", style.columns);
    for (std::size_t i = 0; i < list.size() && i < most_shown; ++i) text += entry(*list[i], i + 1, style);
    if (list.size() > most_shown)
        text +=
            wrapped("… and " + std::to_string(list.size() - most_shown) + " more, which tell less (--json has them).",
                    style.columns);
    if (const std::string proof = proof_words(findings); !proof.empty()) text += wrapped(proof, style.columns);
    return text + wrapped("Minutes are estimates for a board that is already on the bench.", style.columns);
}

std::string next_json(const match::Findings& findings, const base::JsonParts& parts) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone next 1");
    json.key("verdict").text(match::verdict_word(findings.verdict));
    json.key("suspects").open('[');
    for (const match::Suspect& suspect : findings.suspects)
        json.open('{').key("rate").text(suspect.rate).key("probability").real(suspect.probability, 4).close('}');
    json.close(']').key("notices").texts(findings.notices);
    match::write_outcomes_and_next(json, findings);
    json.parts(parts).close('}');
    return json.str();
}

}  // namespace tattletone::report
