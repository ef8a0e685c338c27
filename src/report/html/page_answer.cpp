#include "base/text/number.h"
#include "report/answer_parts.h"
#include "report/html/page_parts.h"
#include "report/html/page_picture.h"
#include "report/html/page_words.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

std::string bar(double probability) {
    return "<span class=\"bar\" aria-hidden=\"true\"><span style=\"width:" + base::fixed(100.0 * probability, 0) +
           "%\"></span></span>\n";
}

std::string side(const char* word, const std::vector<std::string>& sentences) {
    return "<div>" + html_tag("h3", word) +
           (sentences.empty() ? html_tag("p", "Nothing in these recordings.") : html_list(sentences)) + "</div>\n";
}

std::string case_of(const SuspectCase& one) {
    std::string html = "<div class=\"suspect\">";
    if (!one.title.empty()) html += "<p><strong>" + escaped_html(one.title) + "</strong></p>\n";
    return html + bar(one.probability) + "<div class=\"sides\">\n" + side("For", one.speaks_for) +
           side("Against", one.speaks_against) + "</div></div>\n";
}

std::string rest(const char* word, const std::vector<std::string>& sentences) {
    return sentences.empty() ? "" : html_tag("h3", word) + html_list(sentences);
}

std::string steps(const std::vector<NextStep>& next) {
    if (next.empty()) return {};
    std::string html = html_tag("h2", "What to try next") + "<ol>\n";
    for (const NextStep& step : next)
        html += "<li>" + escaped_html(step.todo) +
                (step.option.empty() ? "." : ": <code>" + escaped_html(step.option) + "</code>.") +
                (step.why.empty() ? "" : " " + escaped_html(step.why)) + "</li>\n";
    return html + "</ol>\n";
}

// Those whose case the head does not tell.
std::string further(const match::Findings& findings, std::size_t told) {
    std::string html;
    for (std::size_t i = told; i < findings.suspects.size(); ++i) {
        const match::Suspect& suspect = findings.suspects[i];
        html += (html.empty() ? html_tag("h2", "Further suspects") : "") + "<div class=\"suspect\"><strong>" +
                escaped_html(suspect_title(suspect)) + "</strong>: " + probability_word(suspect.probability) + ", " +
                probability_number(suspect.probability) + "\n" + html_list(suspect.reasons) + "</div>\n";
    }
    return html;
}

}  // namespace

std::string page_answer(const match::Findings& findings, const std::string& headline) {
    const AnswerParts parts = answer_parts(findings);
    std::string html;
    const std::string heard = heard_sentence(findings);
    if (headline.find(heard) == std::string::npos)
        html += html_tag("p", parts.heard);
    else if (parts.heard.size() > heard.size())
        html += html_tag("p", parts.heard.substr(heard.size() + 1));
    for (const SuspectCase& one : parts.cases) html += case_of(one);
    html += rest("Others", parts.others) + rest("Open", parts.open) + rest("Careful", parts.careful);
    return html + steps(parts.next) + further(findings, parts.cases.size());
}

}  // namespace tattletone::report
