#include "report/html/page_words.h"

#include "board/sheet/sheet_reader.h"
#include "report/html/page_parts.h"

namespace tattletone::report {

std::string file_name_of(const std::string& path) {
    return path.substr(path.find_last_of("/\\") + 1);
}

void ready_for_page(match::Findings& findings, const board::BoardSheet* sheet) {
    for (tones::Take& take : findings.unit.takes) {
        take.path = file_name_of(take.path);
        take.found.origin = take.path;
    }
    if (sheet == nullptr) return;
    findings.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);
    for (match::Suspect& suspect : findings.suspects)
        for (const board::Rate& rate : sheet->rates)
            if (rate.full_name == suspect.rate)
                suspect.part_name = sheet->parts[static_cast<std::size_t>(rate.part)].name;
}

std::optional<board::BoardSheet> sheet_for_page(logbook::Logbook& logbook, const std::string& hash) {
    if (hash.empty()) return std::nullopt;
    const auto kept = logbook::find_sheet(logbook, hash);
    if (!kept) return std::nullopt;
    return board::parse_sheet(kept->text, kept->name).sheet;
}

std::string html_list(const std::vector<std::string>& sentences) {
    if (sentences.empty()) return {};
    std::string html = "<ul>\n";
    for (const std::string& sentence : sentences) html += report::html_tag("li", sentence);
    return html + "</ul>\n";
}

std::string html_table(const PageTable& table) {
    std::string html = "<div class=\"scroll\"><table>\n<thead><tr>";
    for (std::size_t i = 0; i < table.titles.size(); ++i) {
        const std::string title = report::html_tag("th", table.titles[i]);
        html += table.is_number[i] ? "<th class=\"n\">" + title.substr(4) : title;
    }
    html += "</tr></thead>\n<tbody>\n";
    for (const auto& row : table.rows) {
        html += "<tr>";
        for (std::size_t i = 0; i < row.size(); ++i) html += report::html_cell(row[i], table.is_number[i]);
        html += "</tr>\n";
    }
    return html + "</tbody></table></div>\n";
}

std::string html_figure(const std::string& heading, const std::string& svg, const std::string& hint) {
    if (svg.empty()) return {};
    return report::html_tag("h2", heading) + "<div class=\"scroll\">" + svg + "</div>\n<p class=\"hint\">" +
           report::html_tag("span", hint) + "</p>\n";
}

std::string page_limits(std::vector<std::string> more) {
    more.insert(more.begin(), {"Only what a microphone picks up is judged. A rate that nobody declared cannot be "
                               "named, and a part that sings only in a state that was not recorded is not heard.",
                               "Two rates whose lines fall together within their tolerances cannot be told apart by "
                               "sound alone."});
    return report::html_tag("h2", "Limits of the method") + html_list(more);
}

}  // namespace tattletone::report
