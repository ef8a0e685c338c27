#include "report/page.h"

#include "report/mechanism.h"
#include "report/page_parts.h"
#include "report/words.h"

namespace tattletone {

std::string findings_page(const Findings& findings, const BoardSheet* sheet, bool room_given,
                          const HearingWish& hearing) {
    const std::string title =
        findings.board.empty() ? "What is singing" : "What is singing on " + findings.board;
    return page_of(title, answer_sentence(findings),
                   page_suspects(findings) + page_picture(findings, sheet) +
                       page_tone_tables(findings) + page_cause(findings, sheet) +
                       page_hearing(findings, hearing) + page_conditions(findings, {}) +
                       html_tag("h2", "What to try next") +
                       html_tag("p", next_step(findings, room_given)) + page_cautions());
}

}  // namespace tattletone
