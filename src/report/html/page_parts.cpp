#include "report/html/page_parts.h"

#include "base/text/number.h"
#include "report/audible.h"
#include "report/cautions.h"
#include "report/html/page_picture.h"
#include "report/text/undeclared.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr const char* style = R"(
:root { color-scheme: light; }
body { font: 16px/1.5 system-ui, sans-serif; color: #1b1b1b; background: #fff; max-width: 60rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.4rem; line-height: 1.3; margin: .2rem 0 .6rem; }
h2 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #ccc; }
h3 { font-size: 1rem; margin: .6rem 0 .1rem; }
.sides { display: flex; flex-wrap: wrap; gap: 0 2rem; } .sides div { flex: 1 1 20rem; } .sides p { margin: .2rem 0; }
ul, ol { margin: .2rem 0; padding-left: 1.3rem; } code { background: #f0f2f4; padding: 0 .2rem; }
.board, .hint { color: #555; margin: 0; }
.suspect { margin: .6rem 0; } .suspect ul { margin: .2rem 0; padding-left: 1.3rem; }
.bar { display: block; height: .5rem; max-width: 24rem; background: #e6e6e6; border: 1px solid #999; }
.bar span { display: block; height: 100%; background: #26547c; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; font-size: .9rem; width: 100%; min-width: 46rem; } th, td { padding: .25rem .5rem; border-bottom: 1px solid #ddd; text-align: left; vertical-align: top; overflow-wrap: normal; }
th { vertical-align: bottom; } td.n, th.n { text-align: right; } td.n { white-space: nowrap; }
svg { width: 100%; height: auto; display: block; }
.grid { stroke: #ddd; stroke-width: 1; } .floor { fill: none; stroke: #666; stroke-width: 1.5; }
.tone { stroke: #b3261e; stroke-width: 2; } .head { fill: #b3261e; } .other { stroke: #999; stroke-width: 1.5; stroke-dasharray: 3 3; } .otherhead { fill: #fff; stroke: #777; }
.rung { fill: #fff; stroke: #26547c; stroke-width: 1; } .met { fill: #26547c; stroke: #26547c; }
.share { fill: #f0c4c0; stroke: #b3261e; } .seen { fill: #b3261e; } .bound { fill: #fff; stroke: #777; stroke-width: 1.5; } .whisker { stroke: #26547c; stroke-width: 2; } .link { stroke: #999; stroke-width: 1.5; }
.letter { border-left: 4px solid #26547c; padding: .1rem .8rem; background: #f4f6f8; }
.tick { font: 12px sans-serif; fill: #555; } .mark { font: bold 13px sans-serif; fill: #1b1b1b; } .mid { text-anchor: middle; } .end { text-anchor: end; }
@media screen and (max-width: 42rem) { .tick, .mark { font-size: 25px; } .tone, .floor, .link, .whisker, .share { stroke-width: 3; } .head, .seen { r: 8px; } }
@media print { @page { size: A4; margin: 15mm; } body { max-width: none; padding: 0; font-size: 11pt; } h2 { break-after: avoid; } .suspect, tr, svg { break-inside: avoid; } .scroll { overflow: visible; } table { min-width: 0; } }
)";

std::string explained(const match::Findings& findings, const tones::UnitTone& tone) {
    if (tone.tone.origin != tones::Origin::board)
        return match::origin_word(tone.tone.origin) + (tone.tone.rejection.empty() ? "" : ": " + tone.tone.rejection);
    if (const std::string line = undeclared_line_words(findings, tone); !line.empty()) return line;
    const auto found = findings.explained_by.find(tone.id);
    if (found == findings.explained_by.end() || found->second.empty())
        return findings.board.empty() ? "no board sheet given" : "none of the declared rates";
    return explanation_words(found->second[0]) + " (" + probability_number(found->second[0].probability) + ")";
}

std::string tone_rows(const match::Findings& findings, const std::vector<const tones::UnitTone*>& tones) {
    std::string html =
        "<div class=\"scroll\"><table>\n<thead><tr><th class=\"n\">#</th><th "
        "class=\"n\">Frequency, Hz</th><th class=\"n\">Level, dBFS</th><th class=\"n\">Tone to "
        "noise, dB</th><th class=\"n\">Prominence, dB</th><th>Prominent by ratio (ECMA-418-1)</th><th "
        "class=\"n\">Present</th><th>Explained by</th></tr></thead>\n<tbody>\n";
    for (const tones::UnitTone* tone : without_combs(tones)) {
        const tones::Tone& line = tone->tone;
        const std::string heard = line.origin == tones::Origin::board ? where_heard(findings, *tone) : "";
        html += "<tr>" + html_cell(std::to_string(tone->id), true) + html_cell(frequency_words(findings, line), true) +
                html_cell(base::fixed(line.level_dbfs, 1), true) +
                html_cell(base::fixed(line.tone_to_noise_db, 1), true) +
                html_cell(base::fixed(line.prominence_db, 1), true) + html_cell(prominence_words(line)) +
                html_cell(base::fixed(100.0 * line.present, 0) + " %", true) +
                html_cell(explained(findings, *tone) + (line.faint ? std::string("; ") + faint_words : "") +
                          (hardly_audible(line) ? "; hardly audible" : "") + (heard.empty() ? "" : "; " + heard)) +
                "</tr>\n";
    }
    return html + "</tbody></table></div>\n";
}

}  // namespace

std::string page_of(base::OutputKind kind, const std::string& title, const std::string& answer,
                    const std::string& body) {
    return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n" + base::html_mark(kind) +
           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" + html_tag("title", title) +
           "<style>" + style + "</style>\n</head>\n<body>\n<main>\n" + "<p class=\"board\">" + escaped_html(title) +
           "</p>\n" + html_tag("h1", answer) + body +
           "<p class=\"hint\">Made by tattletone " TATTLETONE_VERSION ".</p>\n</main>\n</body>\n</html>\n";
}

std::string html_tag(const std::string& name, const std::string& text) {
    return "<" + name + ">" + escaped_html(text) + "</" + name + ">\n";
}

std::string html_cell(const std::string& text, bool is_number) {
    return (is_number ? "<td class=\"n\">" : "<td>") + escaped_html(text) + "</td>";
}

std::string page_picture(const match::Findings& findings, const board::BoardSheet* sheet) {
    const std::string svg = picture_svg(findings, sheet);
    if (svg.empty()) return {};
    std::string heads = board_tones_heading(findings);
    heads[0] = 't';
    std::string hint = "Grey line: noise in a band of 1 Hz. Round heads: " + heads +
                       ", with their numbers; square heads on dashed lines: tones from elsewhere.";
    if (sheet != nullptr && !findings.suspects.empty())
        hint +=
            " Below, boxes where the harmonics of a suspect can stand, as wide as its tolerance, "
            "filled where one meets a tone.";
    if (sheet != nullptr && findings.suspects.size() > most_ladders)
        hint += " The " + std::to_string(most_ladders) + " likeliest are drawn, of " +
                std::to_string(findings.suspects.size()) + ".";
    return html_tag("h2", "Picture") + "<div class=\"scroll\">" + svg + "</div>\n<p class=\"hint\">" +
           escaped_html(hint) + "</p>\n";
}

std::string page_tone_tables(const match::Findings& findings) {
    const auto board = tones_of(findings, true), others = tones_of(findings, false);
    std::string html = html_tag("h2", board_tones_heading(findings));
    html += board.empty() ? html_tag("p", "None was found.") : tone_rows(findings, board);
    for (const match::FoundComb& comb : findings.combs)
        html += html_tag("p", comb_words(comb) + " (" + probability_number(comb.probability) + ").");
    for (const match::UndeclaredComb& comb : findings.undeclared)
        html += html_tag("p", undeclared_words(findings, comb) + " (" + probability_number(comb.probability) + ").");
    return others.empty() ? html : html + html_tag("h2", "Other tones") + tone_rows(findings, others);
}

std::string page_conditions(const match::Findings& findings, const std::vector<std::string>& more) {
    std::string html = html_tag("h2", "Conditions of measurement") + "<ol>\n";
    for (const tones::Take& take : findings.unit.takes) {
        std::string line = take.path == "-" ? "standard input" : take.path;
        line += said_words(take);
        html += "<li>" + escaped_html(line + ": " + take_words(take.found));
        for (const std::string& notice : take.found.notices) html += "<br>\nNotice: " + escaped_html(notice);
        html += "</li>\n";
    }
    html += "</ol>\n<ul>\n";
    for (const std::string& line : more) html += html_tag("li", line);
    const double false_alarm = findings.unit.takes.empty() ? 0.001 : findings.unit.takes[0].found.false_alarm_rate;
    html +=
        html_tag("li", "Noise alone makes a tone in " + base::trimmed(100.0 * false_alarm, 3) + " % of recordings.");
    html += html_tag("li",
                     "Levels are relative to full scale (dBFS); without a calibrated microphone they "
                     "are no sound pressure.");
    if (const std::string card = card_words(findings); !card.empty()) html += html_tag("li", card);
    return html + "</ul>\n";
}

std::string page_cautions() {
    std::string html = html_tag("h2", "Cautions") + "<ul>\n";
    for (const char* caution : cautions) html += html_tag("li", caution);
    return html + "</ul>\n";
}

}  // namespace tattletone::report
