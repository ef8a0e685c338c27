#include "command/report_page_words.h"

#include "board/sheet_reader.h"
#include "report/page_parts.h"

namespace tattletone {

std::string file_name_of(const std::string& path) {
    return path.substr(path.find_last_of("/\\") + 1);
}

void ready_for_page(Findings& findings, const BoardSheet* sheet) {
    for (Take& take : findings.unit.takes) {
        take.path = file_name_of(take.path);
        take.found.origin = take.path;
    }
    if (sheet == nullptr) return;
    findings.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);
    for (Suspect& suspect : findings.suspects)
        for (const Rate& rate : sheet->rates)
            if (rate.full_name == suspect.rate)
                suspect.part_name = sheet->parts[static_cast<std::size_t>(rate.part)].name;
}

std::optional<BoardSheet> sheet_for_page(Logbook& logbook, const std::string& hash) {
    if (hash.empty()) return std::nullopt;
    const auto kept = find_sheet(logbook, hash);
    if (!kept) return std::nullopt;
    return parse_sheet(kept->text, kept->name).sheet;
}

std::string html_list(const std::vector<std::string>& sentences) {
    if (sentences.empty()) return {};
    std::string html = "<ul>\n";
    for (const std::string& sentence : sentences) html += html_tag("li", sentence);
    return html + "</ul>\n";
}

std::string html_table(const PageTable& table) {
    std::string html = "<div class=\"scroll\"><table>\n<thead><tr>";
    for (std::size_t i = 0; i < table.titles.size(); ++i) {
        const std::string title = html_tag("th", table.titles[i]);
        html += table.is_number[i] ? "<th class=\"n\">" + title.substr(4) : title;
    }
    html += "</tr></thead>\n<tbody>\n";
    for (const auto& row : table.rows) {
        html += "<tr>";
        for (std::size_t i = 0; i < row.size(); ++i) html += html_cell(row[i], table.is_number[i]);
        html += "</tr>\n";
    }
    return html + "</tbody></table></div>\n";
}

std::string html_figure(const std::string& heading, const std::string& svg, const std::string& hint) {
    if (svg.empty()) return {};
    return html_tag("h2", heading) + "<div class=\"scroll\">" + svg + "</div>\n<p class=\"hint\">" +
           html_tag("span", hint) + "</p>\n";
}

std::string page_limits(std::vector<std::string> more) {
    more.insert(more.begin(),
                {"Only what a microphone picks up is judged. A rate that nobody declared cannot be "
                 "named, and a part that sings only in a state that was not recorded is not heard.",
                 "Two rates whose lines fall together within their tolerances cannot be told apart by "
                 "sound alone."});
    return html_tag("h2", "Limits of the method") + html_list(more);
}

}  // namespace tattletone
