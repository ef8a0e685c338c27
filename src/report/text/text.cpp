#include "report/text/text.h"

#include <algorithm>

#include "base/text/number.h"
#include "match/explain/wording.h"
#include "report/answer_parts.h"
#include "report/text/columns.h"
#include "report/text/next.h"
#include "report/text/text_tones.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr int label_columns = 9;

/// How many sentences of each kind are shown.
struct Most {
    std::size_t reasons, others, open, careful, steps, tones;
};
// From the first on until the answer has room.
constexpr Most thrift[] = {{5, 4, 3, 3, 4, 6}, {4, 3, 3, 2, 3, 4}, {3, 3, 3, 2, 3, 3}, {3, 2, 2, 2, 2, 3},
                           {3, 2, 2, 1, 2, 2}, {2, 2, 1, 1, 2, 2}, {2, 1, 1, 1, 2, 1}, {1, 1, 1, 1, 1, 1}};
constexpr Most everything = {1000, 1000, 1000, 1000, 1000, 1000};
constexpr int most_lines = 30, lines_a_further_suspect = 8;

class ShortAnswer {
  public:
    ShortAnswer(const match::Findings& findings, const AnswerParts& parts, const TextStyle& style, const Most& most)
        : findings_(findings), parts_(parts), style_(style), most_(most) {}

    std::string text() {
        const std::string lines = wrapped(parts_.answer, style_.columns);
        text_ = style_.bold ? in_bold(lines.substr(0, lines.size() - 1)) + '\n' : lines;
        if (!parts_.heard.empty()) text_ += wrapped(parts_.heard, style_.columns);
        for (const SuspectCase& one : parts_.cases) {
            text_ += '\n';
            if (!one.title.empty()) text_ += wrapped(one.title, style_.columns);
            labelled("For", or_nothing(one.speaks_for), most_.reasons);
            labelled("Against", or_nothing(one.speaks_against), most_.reasons);
        }
        if (parts_.cases.empty()) text_ += '\n';
        labelled("Others", parts_.others, most_.others);
        labelled("Open", parts_.open, most_.open);
        for (const auto& [label, sentence] : style_.notes) labelled(label, {sentence}, 1);
        labelled("Careful", parts_.careful, most_.careful);
        steps();
        if (style_.all) return text_;
        tones();
        from();
        return text_;
    }

  private:
    std::string label(const std::string& word) const {
        const std::string filled = left_in(word, label_columns);
        return style_.bold && !word.empty() ? in_bold(filled) : filled;
    }
    // A label in bold counts for its width only.
    void line(const std::string& word, const std::string& sentence, const std::string& first, const std::string& next) {
        std::string lines = wrapped(sentence, style_.columns, std::string(label_columns, ' ') + first,
                                    std::string(label_columns, ' ') + next);
        text_ += label(word) + lines.substr(label_columns);
    }
    static std::vector<std::string> or_nothing(const std::vector<std::string>& sentences) {
        return sentences.empty() ? std::vector<std::string>{"nothing in these recordings"} : sentences;
    }
    std::string all_hint() const { return style_.how_to_see_all.empty() ? "" : " (" + style_.how_to_see_all + ")"; }

    void labelled(const std::string& word, const std::vector<std::string>& sentences, std::size_t most) {
        const std::size_t shown = std::min(most, sentences.size());
        for (std::size_t i = 0; i < shown; ++i) {
            const bool last = i + 1 == shown && shown < sentences.size();
            line(
                i == 0 ? word : "",
                sentences[i] + (last ? "; and " + std::to_string(sentences.size() - shown) + " more" + all_hint() : ""),
                "", "  ");
        }
    }

    void steps() {
        if (parts_.next.empty()) return;
        std::vector<NextStep> steps = parts_.next;
        steps.resize(std::min(steps.size(), most_.steps));
        const std::string indent(label_columns, ' ');
        text_ += '\n' + label("Next") + steps_text(steps, style_.columns, indent).substr(label_columns);
    }

    void tones() {
        const std::size_t shown = std::min(most_.tones, parts_.tones.size());
        if (shown == 0) return;
        int wide = 0, level = 0;
        for (std::size_t i = 0; i < shown; ++i) {
            wide = std::max(wide, display_columns(parts_.tones[i].frequency));
            level = std::max(level, display_columns(parts_.tones[i].over_noise));
        }
        const bool narrow = style_.columns < 60;
        const std::string over = narrow ? "" : " over the noise";
        text_ += '\n';
        for (std::size_t i = 0; i < shown; ++i) {
            const ToneLine& tone = parts_.tones[i];
            const std::string first = label(i == 0 ? "Tones" : "") + left_in(tone.frequency, wide) + "  " +
                                      right_in(tone.over_noise, level) +
                                      (i == 0 ? over : std::string(over.size(), ' ')) + "  ";
            const std::string indent(static_cast<std::size_t>(label_columns + wide + 2 + level) + over.size() + 2, ' ');
            text_ += beside(first, indent, tone.role + (narrow && i == 0 ? " (dB over the noise)" : ""));
        }
        std::string rest;
        if (const std::size_t more = parts_.tones.size() - shown; more > 0) rest = std::to_string(more) + " more";
        if (!parts_.other_tones.empty()) rest += (rest.empty() ? "" : "; ") + parts_.other_tones;
        if (!rest.empty()) line("", "and " + rest + all_hint(), "", "  ");
    }

    /// `words` to the right of `first`, which is as wide as `indent`, or below where that leaves little room.
    std::string beside(std::string first, const std::string& indent, const std::string& words) const {
        constexpr int least_room = 24;
        const bool room = style_.columns - static_cast<int>(indent.size()) >= least_room;
        if (room && !words.empty()) return first + wrapped(words, style_.columns, indent, indent).substr(indent.size());
        first.resize(first.find_last_not_of(' ') + 1);
        const std::string below(label_columns + 2, ' ');
        return first + '\n' + (words.empty() ? "" : wrapped(words, style_.columns, below, below));
    }

    void from() {
        const auto& takes = findings_.unit.takes;
        if (takes.empty()) return;
        text_ += parts_.tones.empty() ? "\n" : "";
        std::string words;
        if (takes.size() == 1) {
            const std::string name = takes[0].path.substr(takes[0].path.find_last_of("/\\") + 1);
            words = base::printable(name == "-" ? "standard input" : name) + said_words(takes[0]) + ", " +
                    take_words(takes[0].found);
        } else {
            double seconds = 0.0;
            std::vector<std::string> states;
            for (const tones::Take& take : takes) {
                seconds += take.found.seconds;
                const std::string state = "'" + base::printable(take.state) + "'";
                if (!take.state.empty() && std::find(states.begin(), states.end(), state) == states.end())
                    states.push_back(state);
            }
            words = std::to_string(takes.size()) + " recordings, " + base::fixed(seconds, 0) + " s in all" +
                    (states.empty() ? "" : ", in " + match::joined(states));
        }
        line("From",
             words + (findings_.unit.room_given ? "; the room is known" : "") +
                 (findings_.unit.far.empty() ? "" : "; from 60 cm too"),
             "", "  ");
        if (findings_.verdict == match::Verdict::named)
            line("", "A probability is a lead to check, not a proof.", "", "");
    }

    const match::Findings& findings_;
    const AnswerParts& parts_;
    const TextStyle& style_;
    const Most& most_;
    std::string text_;
};

std::string short_text(const match::Findings& findings, const TextStyle& style) {
    const AnswerParts parts = answer_parts(findings);
    if (style.all) return ShortAnswer(findings, parts, style, everything).text();
    const auto further = static_cast<int>(std::max<std::size_t>(parts.cases.size(), 1) - 1);
    const int room = (most_lines + lines_a_further_suspect * further) * std::max(80 / std::max(style.columns, 1), 1);
    std::string text;
    for (const Most& most : thrift) {
        text = ShortAnswer(findings, parts, style, most).text();
        if (std::count(text.begin(), text.end(), '\n') <= room) break;
    }
    return text;
}

// Their reasons where the first `told` have been told.
std::string suspects(const match::Findings& findings, const TextStyle& style, int told) {
    if (findings.board.empty()) return {};
    std::string text = heading("Suspects on " + base::printable(findings.board), style.columns, style.bold);
    if (findings.suspects.empty()) text += wrapped("No declared rate is at 0.01 or more.", style.columns, "  ", "  ");
    for (const match::Suspect& suspect : findings.suspects) {
        text += wrapped(suspect_title(suspect) + ": " + probability_word(suspect.probability) + ", " +
                            probability_number(suspect.probability),
                        style.columns, "  ", "    ");
        std::string ids;
        std::size_t count = 0;
        for (const tones::UnitTone& tone : findings.unit.tones) {
            if (tone.tone.comb || std::find(suspect.tones.begin(), suspect.tones.end(), tone.id) == suspect.tones.end())
                continue;
            ids += (ids.empty() ? "" : ", ") + std::to_string(tone.id);
            ++count;
        }
        if (!ids.empty())
            text += wrapped((count == 1 ? "explains tone " : "explains tones ") + ids, style.columns, "    ", "    ");
        if (told-- > 0) continue;
        for (const auto& [side, against] : {std::pair{"For:", false}, {"Against:", true}}) {
            const auto reasons = reasons_of(suspect, against);
            if (!reasons.empty()) text += std::string("    ") + side + '\n';
            for (const std::string& reason : reasons)
                text += wrapped(base::printable(reason), style.columns, "    - ", "      ");
        }
    }
    if (!findings.suspects.empty() && findings.verdict != match::Verdict::quiet &&
        findings.undeclared_probability >= 0.01)
        text +=
            wrapped("something that the sheet does not declare: " + probability_word(findings.undeclared_probability) +
                        ", " + probability_number(findings.undeclared_probability),
                    style.columns, "  ", "    ");
    return text + notices_text(findings, style.columns);
}

std::string recordings(const match::Findings& findings, const TextStyle& style) {
    const auto& takes = findings.unit.takes;
    std::string text = heading(takes.size() == 1 ? "Recording" : "Recordings", style.columns, style.bold);
    for (std::size_t i = 0; i < takes.size(); ++i) {
        const tones::Take& take = takes[i];
        std::string line = base::printable(take.path == "-" ? "standard input" : take.path);
        line += said_words(take);
        const std::string number = takes.size() == 1 ? "  " : "  " + std::to_string(i + 1) + "  ";
        const std::string indent(number.size(), ' ');
        text += wrapped(line + ": " + take_words(take.found), style.columns, number, indent);
        for (const std::string& notice : take.found.notices)
            text += wrapped(base::printable(notice), style.columns, indent + "! ", indent + "  ");
    }
    for (const tones::Take& far : findings.unit.far)
        text += wrapped("from 60 cm: " + base::printable(far.path) + said_words(far) + ": " + take_words(far.found),
                        style.columns, "  ", "    ");
    const double false_alarm = takes.empty() ? 0.001 : takes[0].found.false_alarm_rate;
    text += wrapped("Noise alone makes a tone in " + base::trimmed(100.0 * false_alarm, 3) +
                        " % of recordings. Levels are "
                        "relative to full scale (dBFS), not sound pressure.",
                    style.columns, "  ", "  ");
    if (const std::string card = card_words(findings); !card.empty()) text += wrapped(card, style.columns, "  ", "  ");
    return text;
}

}  // namespace

std::string notices_text(const match::Findings& findings, int columns) {
    std::string text;
    for (const std::string& notice : findings.notices)
        text += wrapped(base::printable(notice), columns, "  ! ", "    ");
    return text;
}

std::string findings_text(const match::Findings& findings, const TextStyle& given) {
    TextStyle style = given;
    style.columns = std::max(style.columns, 40);
    std::string text = short_text(findings, style);
    if (!style.all) return text;
    text += suspects(findings, style, static_cast<int>(answer_parts(findings).cases.size()));
    const auto board = tones_of(findings, true), others = tones_of(findings, false);
    if (!board.empty())
        text += heading(board_tones_heading(findings), style.columns, style.bold) +
                board_tones_text(findings, board, style);
    if (!others.empty())
        text += heading("Other tones", style.columns, style.bold) + other_tones_text(findings, others, style);
    if (!findings.outcomes.empty()) text += heading("What the changes did", style.columns, style.bold);
    for (const std::string& outcome : findings.outcomes)
        text += wrapped(base::printable(outcome), style.columns, "  - ", "    ");
    return text + style.more + recordings(findings, style);
}

}  // namespace tattletone::report
