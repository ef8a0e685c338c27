#include "report/text/text.h"

#include <algorithm>

#include "base/text/number.h"
#include "report/text/columns.h"
#include "report/text/text_tones.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

std::string answer(const match::Findings& findings, const TextStyle& style) {
    const std::string lines = wrapped(answer_sentence(findings), style.columns);
    return style.bold ? in_bold(lines.substr(0, lines.size() - 1)) + '\n' : lines;
}

std::string suspects(const match::Findings& findings, const TextStyle& style) {
    if (findings.board.empty()) return {};
    std::string text = heading("Suspects on " + base::printable(findings.board), style.columns, style.bold);
    if (findings.suspects.empty()) text += wrapped("No declared rate is at 0.01 or more.", style.columns, "  ", "  ");
    for (const match::Suspect& suspect : findings.suspects) {
        text += wrapped(suspect_title(suspect) + ": " + probability_word(suspect.probability) + ", " +
                            probability_number(suspect.probability),
                        style.columns, "  ", "    ");
        std::string ids;
        for (const int id : suspect.tones) ids += (ids.empty() ? "" : ", ") + std::to_string(id);
        if (!ids.empty())
            text += wrapped((suspect.tones.size() == 1 ? "explains tone " : "explains tones ") + ids, style.columns,
                            "    ", "    ");
        for (const std::string& reason : suspect.reasons)
            text += wrapped(base::printable(reason), style.columns, "    - ", "      ");
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
    std::string text = answer(findings, style) + suspects(findings, style);
    const auto board = tones_of(findings, true), others = tones_of(findings, false);
    if (!board.empty())
        text += heading("Tones of the board", style.columns, style.bold) + board_tones_text(findings, board, style);
    if (!others.empty()) text += heading("Other tones", style.columns, style.bold) + other_tones_text(others, style);
    if (!findings.outcomes.empty()) text += heading("What the changes did", style.columns, style.bold);
    for (const std::string& outcome : findings.outcomes)
        text += wrapped(base::printable(outcome), style.columns, "  - ", "    ");
    text += style.more + recordings(findings, style);
    text += heading("What to try next", style.columns, style.bold) +
            wrapped("Next: " + next_step(findings, style.room_given), style.columns, "  ", "  ");
    if (findings.next.size() > 1)
        text += wrapped("'tattletone next' with the same arguments lists " +
                            std::to_string(std::min<std::size_t>(findings.next.size(), 8)) +
                            " experiments and how to give their recordings.",
                        style.columns, "  ", "  ");
    if (findings.verdict == match::Verdict::named)
        text += wrapped("A probability is a lead to check, not a proof.", style.columns, "  ", "  ");
    return text;
}

}  // namespace tattletone::report
