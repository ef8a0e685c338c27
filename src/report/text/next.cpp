#include "report/text/next.h"

#include <algorithm>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "match/explain/wording.h"
#include "match/json/findings_json.h"
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
            return experiment.kind == match::Trial::room ? "is not in the room recording" : "stays";
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

/// "Record at 44.1 kHz instead of 48 kHz (about 2 min)."
std::string todo_words(const match::Experiment& experiment) {
    std::string todo = base::printable(experiment.todo);
    if (todo.ends_with('.')) todo.pop_back();
    return todo + " (about " + base::fixed(experiment.minutes, 0) + " min).";
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
    text +=
        wrapped("tells " + base::fixed(experiment.bits, 2) + " bit, " + base::fixed(experiment.bits_per_minute(), 2) +
                    " a minute; one is " + probability_number(experiment.sure_now) + " sure now, and would be " +
                    probability_number(experiment.sure_after) + " on average",
                style.columns, indent, indent);
    if (!experiment.option.empty())
        text += wrapped("give it as " + base::printable(experiment.option), style.columns, indent, indent);
    if (!experiment.caution.empty()) text += wrapped("! " + experiment.caution, style.columns, indent, indent + "  ");
    return text;
}

}  // namespace

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

std::string next_sentence(const match::Findings& findings) {
    if (findings.next.empty() || findings.next[0].bits < worth_doing_bits || findings.next[0].sure_now >= certain_from)
        return {};
    const match::Experiment& first = findings.next[0];
    return todo_words(first) + " " + prediction_words(first) + " One would be " + probability_number(first.sure_after) +
           " sure on average, against " + probability_number(first.sure_now) + " now." +
           (first.caution.empty() ? "" : " " + first.caution);
}

std::string next_text(const match::Findings& findings, const TextStyle& given) {
    TextStyle style = given;
    style.columns = std::max(style.columns, 40);
    std::string text = wrapped(answer_sentence(findings), style.columns);
    const std::string suspects = suspects_line(findings);
    if (!suspects.empty()) text += wrapped("Suspects now: " + suspects + ".", style.columns);
    for (const std::string& outcome : findings.outcomes)
        text += wrapped("- " + upper_first(base::printable(outcome)) + ".", style.columns, "  ", "    ");
    text += notices_text(findings, style.columns);
    text += '\n';
    const bool certain = !findings.next.empty() && findings.next[0].sure_now >= certain_from;
    if (findings.next.empty() || certain) {
        const std::string step = next_step(findings, findings.unit.room_given);
        return text + wrapped(certain ? "The answer is as good as certain; confirm it. " + step : upper_first(step),
                              style.columns);
    }
    text += wrapped("What to do next, that which tells most per minute of effort first:", style.columns);
    for (std::size_t i = 0; i < findings.next.size() && i < most_shown; ++i)
        text += entry(findings.next[i], i + 1, style);
    if (findings.next.size() > most_shown)
        text += wrapped(
            "… and " + std::to_string(findings.next.size() - most_shown) + " more, which tell less (--json has them).",
            style.columns);
    return text + wrapped(
                      "Bits are the expected drop of the entropy over who makes the tones (1 bit: "
                      "from two equal "
                      "suspects to certainty). Minutes are estimates for a board that is already "
                      "on the bench.",
                      style.columns);
}

std::string next_json(const match::Findings& findings, const base::JsonParts& parts) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone next 1");
    json.key("verdict").text(match::verdict_word(findings.verdict));
    json.key("suspects").open('[');
    for (const match::Suspect& suspect : findings.suspects)
        json.open('{').key("rate").text(suspect.rate).key("probability").real(suspect.probability, 4).close('}');
    json.close(']').key("notices").open('[');
    for (const std::string& notice : findings.notices) json.text(notice);
    json.close(']');
    match::write_outcomes_and_next(json, findings);
    json.parts(parts).close('}');
    return json.str();
}

}  // namespace tattletone::report
