#include "report/toggle_report.h"

#include <algorithm>
#include <cmath>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "base/text/printable.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

double now(const match::Findings& findings, const std::string& rate) {
    for (const match::Suspect& suspect : findings.suspects)
        if (suspect.rate == rate) return suspect.probability;
    return 0.0;
}

double before(const match::TrialJoin& join, const std::string& rate) {
    const auto found = join.without.find(rate);
    return found == join.without.end() ? 0.0 : found->second;
}

std::string line_words(const toggle::WatchedLine& line) {
    const std::string hz = base::fixed(line.hz, line.half_width_hz > 0.0 ? 0 : 1) + " Hz";
    switch (line.kind) {
        case toggle::WatchedLine::Kind::tone:
            return "tone " + std::to_string(line.tone) + " (" + hz + ")";
        case toggle::WatchedLine::Kind::expected:
            return "the line of " + line.rate + " at " + hz +
                   (line.order > 1 ? " (" + std::to_string(line.order) + " ×)" : "");
        case toggle::WatchedLine::Kind::band:
            return "the noise about " + base::short_hz(std::round(line.hz));
    }
    return {};
}

std::string change_words(const toggle::Effect& effect) {
    const bool louder = effect.change_db >= 0.0;
    const double size = std::abs(effect.change_db);
    // Off is then the noise beside it, and how far under it the line is nobody can tell.
    constexpr double no_measure_db = 10.0;
    if (effect.change_db_sd > no_measure_db) return louder ? "louder with it on" : "quieter with it on";
    if (size > 40.0) return louder ? "over 40 dB louder with it on" : "over 40 dB quieter with it on";
    return base::with_uncertainty(size, effect.change_db_sd) + " dB " + (louder ? "louder" : "quieter") + " with it on";
}

std::string p_words(const toggle::PartTrial& part) {
    return "p = " + base::significant(part.p, 2) + ", " + base::count_of(part.draws, "plan", "plans") + " drawn anew";
}

std::string part_sentence(const toggle::Trial& trial, const toggle::PartTrial& part) {
    if (part.drives == true) {
        std::string text = part.part + " is proven: ";
        for (std::size_t i = 0; i < part.effects.size() && i < 4; ++i)
            text += (i == 0 ? "" : "; ") + line_words(trial.lines[part.effects[i].line]) + " is " +
                    change_words(part.effects[i]);
        if (part.effects.empty()) text += "something follows its switching, no one line clearly enough";
        if (part.effects.size() > 4) text += "; and " + std::to_string(part.effects.size() - 4) + " more lines";
        text += " (" + p_words(part) + ").";
        if (part.moves_pitch)
            text += " One line comes as another beside it goes: it moves a pitch, and another part may make the sound.";
        return text;
    }
    if (part.drives == false && !trial.alignment)
        return part.part + ": if the plan ran, switching it changes no tone of the board by more than " +
               base::significant(std::max(0.1, part.change_most_db), 2) + " dB (" + p_words(part) +
               "). Nothing shows that it did run, so nobody is acquitted.";
    if (part.drives == false)
        return part.part + " is acquitted: switching it changes no tone of the board by more than " +
               base::significant(std::max(0.1, part.change_most_db), 2) + " dB (" + p_words(part) + ").";
    std::string text = part.part + ": this recording cannot tell (" + p_words(part) + ").";
    constexpr double longest = 3600.0;
    if (part.seconds_needed > longest)
        text += " Record nearer to the board: even an hour of such a recording would not tell.";
    else if (part.seconds_needed > 0.0)
        text += " A plan of some " + base::significant(std::ceil(part.seconds_needed / 10.0) * 10.0, 2) +
                " s would, or one recorded nearer to the board.";
    else
        text += " No tone of the board is in it of which that could be told.";
    return text;
}

std::vector<std::string> rates_to_tell(const match::Findings& findings, const match::TrialJoin& join) {
    constexpr double moved = 0.02;
    std::vector<std::string> rates;
    for (const match::Suspect& suspect : findings.suspects)
        if (std::abs(suspect.probability - before(join, suspect.rate)) >= moved) rates.push_back(suspect.rate);
    for (const auto& [rate, probability] : join.without)
        if (now(findings, rate) == 0.0 && probability >= moved) rates.push_back(rate);
    return rates;
}

}  // namespace

void tell_trial(match::Findings& findings, const match::TrialJoin& join) {
    for (match::Suspect& suspect : findings.suspects)
        for (const toggle::PartTrial& part : join.trial.parts) {
            if (!suspect.rate.starts_with(part.part + ".")) continue;
            std::string reason;
            for (const toggle::Effect& effect : part.effects)
                if (part.drives == true && reason.empty())
                    reason = "the toggle plan: " + line_words(join.trial.lines[effect.line]) + " is " +
                             change_words(effect) + " (p = " + base::significant(part.p, 2) + ")";
            if (part.drives == false && join.trial.alignment) {
                reason = "the toggle plan: no tone changes when " + part.part + " is switched";
                suspect.against.push_back(reason);
            }
            if (!reason.empty()) suspect.reasons.insert(suspect.reasons.begin(), reason);
        }
}

std::vector<std::string> trial_sentences(const match::Findings& findings, const match::TrialJoin& join) {
    const toggle::Trial& trial = join.trial;
    std::vector<std::string> sentences;
    if (trial.alignment) {
        const double ppm = 1e6 * trial.alignment->pace;
        sentences.push_back("The plan's first step began at " + base::fixed(trial.alignment->start_seconds, 2) +
                            " s of the recording; its steps were " +
                            (std::abs(ppm) < 1000.0
                                 ? "as long as planned, within 0.1 %"
                                 : base::fixed(std::abs(ppm) * 1e-4, 1) + " % " +
                                       (ppm > 0.0 ? "longer than planned" : "shorter than planned")) +
                            ".");
    } else {
        sentences.push_back("Nothing in the recording follows the plan, at whatever moment it began.");
    }
    for (const toggle::PartTrial& part : trial.parts) sentences.push_back(part_sentence(trial, part));
    for (const std::string& rate : rates_to_tell(findings, join))
        sentences.push_back("That " + rate + " sings: " + probability_number(before(join, rate)) +
                            " without the plan, " + probability_number(now(findings, rate)) + " with it.");
    sentences.insert(sentences.end(), trial.notices.begin(), trial.notices.end());
    return sentences;
}

std::string trial_text(const match::Findings& findings, const match::TrialJoin& join, int columns, bool bold) {
    std::string text = heading("The toggle plan", columns, bold);
    for (const std::string& sentence : trial_sentences(findings, join))
        text += wrapped(base::printable(sentence), columns, "  ", "    ");
    return text;
}

std::string trial_json(const match::TrialJoin& join) {
    const toggle::Trial& trial = join.trial;
    base::JsonWriter w;
    w.open('{');
    w.key("recording").text(trial.recording);
    w.key("seconds").real(trial.seconds, 3);
    w.key("steps").integer(static_cast<long long>(trial.plan.steps()));
    w.key("step_seconds").real(trial.plan.step_seconds, 6);
    w.key("start_s");
    trial.alignment ? w.real(trial.alignment->start_seconds, 3) : w.null();
    w.key("pace_ppm");
    trial.alignment ? w.whole_or_real(std::round(1e6 * trial.alignment->pace), 0) : w.null();
    w.key("parts").open('[');
    for (const toggle::PartTrial& part : trial.parts) {
        const toggle::Effect* const first = part.effects.empty() ? nullptr : &part.effects[0];
        w.open('{').key("part").text(part.part);
        w.key("change_db");
        first != nullptr ? w.real(first->change_db, 2) : w.null();
        w.key("change_db_sd");
        first != nullptr ? w.real(first->change_db_sd, 3) : w.null();
        w.key("p").real(part.p, 6);
        w.key("drives");
        part.drives ? w.boolean(*part.drives) : w.null();
        w.key("tones").open('[');
        for (const int id : part.tones) w.integer(id);
        w.close(']');
        w.key("moves_pitch").boolean(part.moves_pitch);
        w.key("draws").integer(part.draws);
        w.key("seconds_needed");
        part.seconds_needed > 0.0 ? w.real(part.seconds_needed, 0) : w.null();
        w.key("lines").open('[');
        for (const toggle::Effect& effect : part.effects) {
            const toggle::WatchedLine& line = trial.lines[effect.line];
            w.open('{').key("hz").real(line.hz, 3).key("half_width_hz").real(line.half_width_hz, 3);
            w.key("tone");
            line.tone > 0 ? w.integer(line.tone) : w.null();
            w.key("rate").text_or_null(line.rate);
            w.key("change_db").real(effect.change_db, 2).key("change_db_sd").real(effect.change_db_sd, 3);
            w.key("low_db").real(effect.low_db, 2).key("high_db").real(effect.high_db, 2);
            w.key("p").real(effect.p, 6).close('}');
        }
        w.close(']').close('}');
    }
    w.close(']');
    w.key("without").open('[');
    for (const auto& [rate, probability] : join.without)
        w.open('{').key("rate").text(rate).key("probability").real(probability, 4).close('}');
    w.close(']');
    w.key("notices").texts(trial.notices);
    w.close('}');
    return w.str();
}

}  // namespace tattletone::report
