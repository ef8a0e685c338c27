#include "command/report_pages.h"

#include <algorithm>
#include <cmath>

#include "command/listing.h"
#include "command/report_page_words.h"
#include "logbook/complaints.h"
#include "logbook/measurements.h"
#include "report/line_pictures.h"
#include "report/mechanism.h"
#include "report/number.h"
#include "report/page_parts.h"
#include "report/page_picture.h"
#include "report/words.h"
#include "session/confirmed.h"

namespace tattletone {
namespace {

Result<Findings> findings_of_measurement(Logbook& logbook, const Measurement& measurement,
                                 const BoardSheet* sheet) {
    std::vector<std::vector<FloorPoint>> floors;
    for (const auto& take : measurement.takes)
        if (!take.is_room) floors.push_back(take.floor);
    auto findings = findings_of(logbook, measurement.findings_json, floors);
    if (findings) ready_for_page(*findings, sheet);
    return findings;
}

// The line whose history is worth a picture: the strongest tone of the first suspect, else of the
// board.
const UnitTone* leading_tone(const Findings& findings) {
    const UnitTone* leading = nullptr;
    for (const bool only_suspect : {true, false}) {
        for (const UnitTone& tone : findings.unit.tones) {
            if (tone.tone.origin != Origin::board) continue;
            if (only_suspect) {
                if (findings.suspects.empty()) continue;
                const auto& ids = findings.suspects[0].tones;
                if (std::find(ids.begin(), ids.end(), tone.id) == ids.end()) continue;
            }
            if (leading == nullptr || tone.tone.level_dbfs > leading->tone.level_dbfs) leading = &tone;
        }
        if (leading != nullptr) return leading;
    }
    return nullptr;
}

Result<std::string> history_of(Logbook& logbook, const Unit& unit, const Findings& findings) {
    const UnitTone* const tone = leading_tone(findings);
    if (tone == nullptr) return std::string();
    const double hz = tone->tone.hz;
    const auto points = level_history(logbook, unit.id, hz, std::max(0.005 * hz, 5.0));
    if (!points) return points.error();
    std::vector<LevelMark> marks;
    int heard = 0;
    for (const LevelPoint& point : *points) {
        heard += point.heard;
        marks.push_back({point.label.empty() ? point.measured_at.substr(0, 10) : point.label, point.heard,
                         point.known, point.level_dbfs});
    }
    const std::string title = "The tone at " + short_hz(hz) + " over " + std::to_string(marks.size()) +
                              (marks.size() == 1 ? " measurement" : " measurements") + ", heard in " +
                              std::to_string(heard);
    return html_figure("History of the tone", history_svg(title, marks),
                       title + ". Dots: its level. Open triangles: not heard, and the level below which "
                               "it must have been. Levels compare only at the same microphone and distance.");
}

std::vector<std::string> circumstances_of(const Measurement& measurement) {
    const Circumstances& c = measurement.circumstances;
    std::vector<std::string> lines{"Measured " + minute_of(measurement.measured_at) + " UTC" +
                                   (c.label.empty() ? "" : " ('" + c.label + "')") + "."};
    std::string how;
    if (!c.microphone.empty()) how += "Microphone: " + c.microphone + ". ";
    if (c.distance_cm) how += "Distance: " + trimmed(*c.distance_cm, 1) + " cm. ";
    if (!c.firmware.empty()) how += "Firmware: " + c.firmware + ". ";
    if (!how.empty()) lines.push_back(how.substr(0, how.size() - 1));
    if (!c.note.empty()) lines.push_back("Note: " + c.note);
    if (std::any_of(measurement.takes.begin(), measurement.takes.end(), [](const auto& t) { return t.is_room; }))
        lines.push_back("A recording of the room with the board unpowered was taken too.");
    return lines;
}

std::string measurement_table(const std::vector<Measurement>& measurements) {
    PageTable table{{"When (UTC)", "Label", "Firmware", "Microphone", "cm", "Answer"},
                    {},
                    {false, false, false, false, true, false}};
    for (const Measurement& m : measurements) {
        const Circumstances& c = m.circumstances;
        table.rows.push_back({minute_of(m.measured_at), c.label, c.firmware, c.microphone,
                              c.distance_cm ? trimmed(*c.distance_cm, 1) : "", m.answer});
    }
    return html_tag("h2", "Measurements") + html_table(table);
}

}  // namespace

Result<std::string> unit_page(Logbook& logbook, const std::string& serial) {
    const auto unit = find_unit(logbook, serial);
    if (!unit) return unit.error();
    const auto measurements = list_measurements(logbook, unit->id);
    if (!measurements) return measurements.error();
    if (measurements->empty())
        return Error{"unit '" + unit->serial + "'", "nothing was measured yet",
                     "Measure it with 'tattletone examine FILE --log --unit " + unit->serial + "'"};
    const auto opinions = latest_opinions(logbook, unit->board, "");
    if (!opinions) return opinions.error();
    const auto newest = find_measurement(logbook, measurements->front().number);
    if (!newest) return newest.error();
    const auto sheet = sheet_for_page(logbook, newest->sheet);
    const auto kept = findings_of_measurement(logbook, *newest, sheet ? &*sheet : nullptr);
    if (!kept) return kept.error();
    const Findings& findings = *kept;
    const auto history = history_of(logbook, *unit, findings);
    if (!history) return history.error();

    std::string about;
    if (!unit->batch.empty()) about += "Batch " + unit->batch + ". ";
    if (!unit->firmware.empty()) about += "Firmware " + unit->firmware + ". ";
    about += std::to_string(measurements->size()) +
             (measurements->size() == 1 ? " measurement." : " measurements; the findings are of the newest.");
    std::string body = html_tag("p", about);
    if (const auto said = confirmed_sentences(*opinions); !said.empty())
        body += html_tag("h2", "What is known of this board") + html_list(said);
    body += page_suspects(findings) + page_picture(findings, sheet ? &*sheet : nullptr) + *history +
            page_tone_tables(findings) + page_cause(findings, sheet ? &*sheet : nullptr) +
            measurement_table(*measurements) +
            page_conditions(findings, circumstances_of(*newest));
    const bool room = std::any_of(newest->takes.begin(), newest->takes.end(),
                                  [](const auto& take) { return take.is_room; });
    body += html_tag("h2", "What to try next") + html_tag("p", next_step(findings, room));
    return page_of(OutputKind::unit_page, "Unit " + unit->serial + ", " + unit->board +
                       (unit->revision.empty() ? "" : " " + unit->revision),
                   newest->answer, body + page_limits({}) + page_cautions());
}

Result<std::string> complaint_page(Logbook& logbook, const std::string& id) {
    const auto complaint = find_complaint(logbook, id);
    if (!complaint) return complaint.error();
    auto kept = findings_of(logbook, complaint->findings_json, {complaint->floor});
    if (!kept) return kept.error();
    Findings& findings = *kept;
    const auto sheet = sheet_for_page(logbook, complaint->sheet);
    ready_for_page(findings, sheet ? &*sheet : nullptr);
    std::string about = "Sorted as: " + complaint->kind +
                        (complaint->rate.empty() ? "" : " (" + complaint->rate + ")") + ". Came in " +
                        complaint->added_at.substr(0, 10) + ".";
    if (!complaint->serial.empty()) about += " Unit " + complaint->serial + ".";
    std::string body = html_tag("p", about);
    if (!complaint->text.empty())
        body += html_tag("h2", "What was reported") + html_tag("p", complaint->text);
    if (!complaint->closed_at.empty())
        body += html_tag("h2", "Outcome") + html_tag("p", complaint->outcome);
    body += html_tag("h2", "Reply") + "<div class=\"letter\">\n";
    for (std::size_t at = 0; at < complaint->reply.size();) {
        const std::size_t end = std::min(complaint->reply.find("\n\n", at), complaint->reply.size());
        body += html_tag("p", complaint->reply.substr(at, end - at));
        at = end + 2;
    }
    body += "</div>\n" + page_suspects(findings) + page_picture(findings, sheet ? &*sheet : nullptr) +
            page_tone_tables(findings) + page_conditions(findings, {});
    const std::string limits = "This clip can tell about " + short_hz(complaint->usable_low_hz) + " to " +
                               short_hz(complaint->usable_high_hz) + " and about nothing outside that.";
    return page_of(OutputKind::complaint_page, "Complaint " + complaint->id.substr(0, 8) +
                       (complaint->board.empty() ? "" : " about " + complaint->board),
                   complaint->answer, body + page_limits({limits}) + page_cautions());
}

}  // namespace tattletone
