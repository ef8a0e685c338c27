#include "report/mechanism_words.h"

#include <algorithm>

#include "base/text/json_writer.h"
#include "board/rate_supply.h"
#include "match/explain/supply_reason.h"
#include "match/explain/wording.h"
#include "report/headroom.h"
#include "report/html/page_parts.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"

namespace tattletone::report {
namespace {

constexpr double named_from = 0.5;

std::vector<cause::Cause> causes_of(const match::Findings& findings, const board::BoardSheet& sheet) {
    std::vector<cause::Cause> causes;
    for (const match::Suspect& suspect : findings.suspects) {
        if (suspect.probability < named_from) continue;
        cause::Cause cause = cause::cause_of(findings, sheet, suspect);
        if (!cause.mechanisms.empty()) causes.push_back(std::move(cause));
    }
    return causes;
}

const char* word_of(cause::Speaks speaks) {
    static constexpr const char* words[] = {"for", "against", "open"};
    return words[static_cast<int>(speaks)];
}

std::string first_reason(const cause::Mechanism& mechanism) {
    const cause::Speaks wanted = mechanism.likelihood == "unlikely" ? cause::Speaks::against_it : cause::Speaks::for_it;
    for (const cause::Observation& observation : mechanism.observations)
        if (observation.speaks == wanted) return ": " + observation.text;
    return "";
}

std::string sentence_of(const cause::Cause& cause) {
    const cause::Mechanism& first = cause.mechanisms[0];
    std::string also;
    for (std::size_t i = 1; i < cause.mechanisms.size(); ++i)
        if (cause.mechanisms[i].likelihood != "unlikely")
            also += (also.empty() ? " Also " : "; ") + cause.mechanisms[i].likelihood + ": " + cause.mechanisms[i].name;
    return first.name + ", " + first.likelihood + first_reason(first) + "." + also + (also.empty() ? "" : ".");
}

}  // namespace

std::string mechanism_sentence(const match::Findings& findings, const board::BoardSheet& sheet,
                               const match::Suspect& suspect) {
    if (suspect.probability < named_from) return {};
    const cause::Cause cause = cause::cause_of(findings, sheet, suspect);
    return cause.mechanisms.empty() ? "" : sentence_of(cause);
}

std::string cause_note(const match::Findings& findings, const board::BoardSheet& sheet) {
    if (findings.suspects.empty() || findings.suspects[0].probability < named_from) return {};
    const cause::Cause cause = cause::cause_of(findings, sheet, findings.suspects[0]);
    if (cause.mechanisms.empty()) return {};
    const cause::Mechanism& first = cause.mechanisms[0];
    return first.likelihood + ": " + first.name + " (--report lists " + std::to_string(cause.cures.size()) +
           (cause.cures.size() == 1 ? " cure" : " cures") + ")";
}

std::string cause_text(const match::Findings& findings, const board::BoardSheet& sheet, int columns, bool bold) {
    if (findings.suspects.empty() || findings.suspects[0].probability < named_from) return {};
    const cause::Cause cause = cause::cause_of(findings, sheet, findings.suspects[0]);
    if (cause.mechanisms.empty()) return {};
    std::string text = heading("Why it sings, as far as this shows", columns, bold);
    text += wrapped(sentence_of(cause), columns, "  ", "  ");
    text += wrapped("What helps, each with its price: 'examine --report' lists " + std::to_string(cause.cures.size()) +
                        " cures; the first: " + cause.cures[0].what + ".",
                    columns, "  ", "  ");
    return text;
}

std::string page_cause(const match::Findings& findings, const board::BoardSheet* sheet) {
    if (sheet == nullptr) return {};
    std::string html;
    for (const cause::Cause& cause : causes_of(findings, *sheet)) {
        if (html.empty())
            html = html_tag("h2", "Why it sings, and what helps") +
                   html_tag("p",
                            "Reasoned from the rail and from how the lines stand to the rate: a lead to check on the "
                            "bench. Such a part moves by a nanometre or less; it is the board that sounds.");
        html += html_tag("h3", cause.rate);
        for (const cause::Mechanism& mechanism : cause.mechanisms) {
            html += html_tag("p", mechanism.name + ": " + mechanism.likelihood) + "<ul>\n";
            for (const cause::Observation& observation : mechanism.observations)
                html += html_tag("li", (observation.speaks == cause::Speaks::open
                                            ? ""
                                            : "speaks " + std::string(word_of(observation.speaks)) + " it: ") +
                                           observation.text);
            html += "</ul>\n";
        }
        html +=
            "<div class=\"scroll\"><table>\n<thead><tr><th>What helps</th><th>What it costs</th><th>Known "
            "from</th></tr></thead>\n<tbody>\n";
        for (const cause::Cure& cure : cause.cures)
            html += "<tr>" + html_cell(cure.what) + html_cell(cure.price) + html_cell(cure.source) + "</tr>\n";
        html += "</tbody></table></div>\n";
    }
    return html;
}

std::string causes_json(const match::Findings& findings, const board::BoardSheet& sheet) {
    base::JsonWriter json;
    json.open('[');
    for (const cause::Cause& cause : causes_of(findings, sheet)) {
        json.open('{').key("rate").text(cause.rate);
        json.key("mechanisms").open('[');
        for (const cause::Mechanism& mechanism : cause.mechanisms) {
            json.open('{').key("id").text(mechanism.id);
            json.key("name").text(mechanism.name);
            json.key("likelihood").text(mechanism.likelihood);
            json.key("observations").open('[');
            for (const cause::Observation& observation : mechanism.observations)
                json.open('{')
                    .key("speaks")
                    .text(word_of(observation.speaks))
                    .key("text")
                    .text(observation.text)
                    .close('}');
            json.close(']').close('}');
        }
        json.close(']').key("cures").open('[');
        for (const cause::Cure& cure : cause.cures)
            json.open('{')
                .key("what")
                .text(cure.what)
                .key("price")
                .text(cure.price)
                .key("source")
                .text(cure.source)
                .close('}');
        json.close(']').close('}');
    }
    json.close(']');
    return json.str();
}

std::string supplies_json(const match::Findings& findings, const board::BoardSheet& sheet) {
    base::JsonWriter json;
    json.open('[');
    const auto states = match::states_of(sheet, findings.unit);
    for (const match::Suspect& suspect : findings.suspects) {
        const auto rate = std::find_if(sheet.rates.begin(), sheet.rates.end(),
                                       [&](const board::Rate& r) { return r.full_name == suspect.rate; });
        if (rate == sheet.rates.end()) continue;
        const auto supply = board::supply_of_rate(sheet, static_cast<int>(rate - sheet.rates.begin()), states);
        if (!supply) continue;
        json.open('{').key("rate").text(suspect.rate);
        json.key("rail").text(sheet.rails[static_cast<std::size_t>(supply->rail)].id);
        json.key("state");
        supply->state < 0 ? json.null() : json.text(sheet.states[static_cast<std::size_t>(supply->state)]);
        json.key("verdict").text(supply_word(supply->verdict));
        json.key("good_for_ma").whole_or_real(supply->good_for_ma, 3);
        json.key("limited_by").text_or_null(limit_word(supply->limited_by));
        json.key("own_peak_ma").whole_or_real(supply->own_peak_ma, 3);
        json.key("others_typical_ma").whole_or_real(supply->others_typical_ma, 3);
        json.key("typical_ma").whole_or_real(supply->typical_ma, 3);
        json.key("peak_ma").whole_or_real(supply->peak_ma, 3);
        json.key("burst_us");
        supply->burst_us ? json.whole_or_real(*supply->burst_us, 3) : json.null();
        json.key("droop_v");
        supply->droop_v ? json.real(*supply->droop_v, 6) : json.null();
        json.close('}');
    }
    json.close(']');
    return json.str();
}

}  // namespace tattletone::report
