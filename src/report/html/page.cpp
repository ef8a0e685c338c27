#include "report/html/page.h"

#include "report/html/page_parts.h"
#include "report/mechanism_words.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

std::string page_outcomes(const match::Findings& findings) {
    if (findings.outcomes.empty()) return {};
    std::string html = html_tag("h2", "What the changes did") + "<ul>\n";
    for (const std::string& outcome : findings.outcomes) html += html_tag("li", outcome);
    return html + "</ul>\n";
}

}  // namespace

std::string findings_page(const match::Findings& findings, const board::BoardSheet* sheet,
                          const HearingOptions& hearing, const std::string& more) {
    const std::string title = findings.board.empty() ? "What is singing" : "What is singing on " + findings.board;
    const std::string answer = answer_sentence(findings);
    return page_of(base::OutputKind::findings_page, title, answer,
                   page_answer(findings, answer) + page_picture(findings, sheet) + page_tone_tables(findings) +
                       page_outcomes(findings) + report::page_cause(findings, sheet) + page_hearing(findings, hearing) +
                       more + page_conditions(findings, {}) + page_cautions());
}

}  // namespace tattletone::report
