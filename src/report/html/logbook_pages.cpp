#include "report/html/logbook_pages.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "logbook/complaints/complaints.h"
#include "logbook/storage/kept_findings.h"
#include "logbook/units/measurements.h"
#include "report/confirmed.h"
#include "report/html/line_pictures.h"
#include "report/html/page_parts.h"
#include "report/html/page_picture.h"
#include "report/html/page_words.h"
#include "report/mechanism_words.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

Result<match::Findings> findings_of_measurement(logbook::Logbook& logbook, const logbook::Measurement& measurement,
                                                const board::BoardSheet* sheet) {
    std::vector<std::vector<tones::FloorPoint>> floors;
    for (const auto& take : measurement.takes)
        if (take.role == logbook::TakeRole::take) floors.push_back(take.floor);
    auto findings = logbook::findings_of(logbook, measurement.findings_json, floors);
    if (!findings) return findings;
    // Those of older versions do not say it themselves.
    for (const auto& take : measurement.takes) findings->unit.room_given |= take.role == logbook::TakeRole::room;
    ready_for_page(*findings, sheet);
    return findings;
}

// The line whose history is worth a picture: the strongest tone of the first suspect, else of the
// board.
const tones::UnitTone* leading_tone(const match::Findings& findings) {
    const tones::UnitTone* leading = nullptr;
    for (const bool only_suspect : {true, false}) {
        for (const tones::UnitTone& tone : findings.unit.tones) {
            if (tone.tone.origin != tones::Origin::board) continue;
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

Result<std::string> history_of(logbook::Logbook& logbook, const logbook::Unit& unit, const match::Findings& findings) {
    const tones::UnitTone* const tone = leading_tone(findings);
    if (tone == nullptr) return std::string();
    const double hz = tone->tone.hz;
    const auto points = logbook::level_history(logbook, unit.id, hz, std::max(0.005 * hz, 5.0));
    if (!points) return points.error();
    std::vector<report::LevelMark> marks;
    int heard = 0;
    for (const logbook::LevelPoint& point : *points) {
        heard += point.heard;
        marks.push_back({point.label.empty() ? point.measured_at.substr(0, 10) : point.label, point.heard, point.known,
                         point.level_dbfs});
    }
    const std::string title = "The tone at " + base::short_hz(hz) + " over " + std::to_string(marks.size()) +
                              (marks.size() == 1 ? " measurement" : " measurements") + ", heard in " +
                              std::to_string(heard);
    return html_figure("History of the tone", report::history_svg(title, marks),
                       title +
                           ". Dots: its level. Open triangles: not heard, and the level below which "
                           "it must have been. Levels compare only at the same microphone and distance.");
}

std::vector<std::string> circumstances_of(const logbook::Measurement& measurement) {
    const logbook::Circumstances& c = measurement.circumstances;
    std::vector<std::string> lines{"Measured " + minute_of(measurement.measured_at) + " UTC" +
                                   (c.label.empty() ? "" : " ('" + c.label + "')") + "."};
    std::string how;
    if (!c.microphone.empty()) how += "Microphone: " + c.microphone + ". ";
    if (c.distance_cm) how += "Distance: " + base::trimmed(*c.distance_cm, 1) + " cm. ";
    if (!c.firmware.empty()) how += "Firmware: " + c.firmware + ". ";
    if (!how.empty()) lines.push_back(how.substr(0, how.size() - 1));
    if (!c.note.empty()) lines.push_back("Note: " + c.note);
    const auto has = [&](logbook::TakeRole role) {
        return std::any_of(measurement.takes.begin(), measurement.takes.end(),
                           [&](const auto& take) { return take.role == role; });
    };
    if (has(logbook::TakeRole::room))
        lines.push_back("A recording of the room with the board unpowered was taken too.");
    if (has(logbook::TakeRole::far)) lines.push_back("A recording from 60 cm was taken too.");
    return lines;
}

std::string measurement_table(const std::vector<logbook::Measurement>& measurements) {
    PageTable table{{"When (UTC)", "Label", "Firmware", "Microphone", "cm", "Answer"},
                    {},
                    {false, false, false, false, true, false}};
    for (const logbook::Measurement& m : measurements) {
        const logbook::Circumstances& c = m.circumstances;
        table.rows.push_back({minute_of(m.measured_at), c.label, c.firmware, c.microphone,
                              c.distance_cm ? base::trimmed(*c.distance_cm, 1) : "", m.answer});
    }
    return report::html_tag("h2", "Measurements") + html_table(table);
}

}  // namespace

Result<std::string> unit_page(logbook::Logbook& logbook, const std::string& serial) {
    const auto unit = logbook::find_unit(logbook, serial);
    if (!unit) return unit.error();
    const auto measurements = logbook::list_measurements(logbook, unit->id);
    if (!measurements) return measurements.error();
    if (measurements->empty())
        return Error{"unit '" + unit->serial + "'", "nothing was measured yet",
                     "Measure it with 'tattletone examine FILE --log --unit " + unit->serial + "'"};
    const auto opinions = logbook::latest_opinions(logbook, unit->board, "");
    if (!opinions) return opinions.error();
    const auto newest = logbook::find_measurement(logbook, measurements->front().number);
    if (!newest) return newest.error();
    const auto sheet = sheet_for_page(logbook, newest->sheet);
    const auto kept = findings_of_measurement(logbook, *newest, sheet ? &*sheet : nullptr);
    if (!kept) return kept.error();
    const match::Findings& findings = *kept;
    const auto history = history_of(logbook, *unit, findings);
    if (!history) return history.error();

    std::string about;
    if (!unit->batch.empty()) about += "Batch " + unit->batch + ". ";
    if (!unit->firmware.empty()) about += "Firmware " + unit->firmware + ". ";
    about += std::to_string(measurements->size()) +
             (measurements->size() == 1 ? " measurement." : " measurements; the findings are of the newest.");
    std::string body = report::html_tag("p", about);
    if (const auto said = report::confirmed_sentences(*opinions); !said.empty())
        body += report::html_tag("h2", "What is known of this board") + html_list(said);
    body += page_answer(findings, newest->answer) + report::page_picture(findings, sheet ? &*sheet : nullptr) +
            *history + report::page_tone_tables(findings) + report::page_cause(findings, sheet ? &*sheet : nullptr) +
            measurement_table(*measurements) + report::page_conditions(findings, circumstances_of(*newest));
    return report::page_of(
        base::OutputKind::unit_page,
        "Unit " + unit->serial + ", " + unit->board + (unit->revision.empty() ? "" : " " + unit->revision),
        newest->answer, body + page_limits({}) + report::page_cautions());
}

Result<std::string> complaint_page(logbook::Logbook& logbook, const std::string& id) {
    const auto complaint = logbook::find_complaint(logbook, id);
    if (!complaint) return complaint.error();
    auto kept = logbook::findings_of(logbook, complaint->findings_json, {complaint->floor});
    if (!kept) return kept.error();
    match::Findings& findings = *kept;
    const auto sheet = sheet_for_page(logbook, complaint->sheet);
    ready_for_page(findings, sheet ? &*sheet : nullptr);
    std::string about = "Sorted as: " + complaint->kind +
                        (complaint->rate.empty() ? "" : " (" + complaint->rate + ")") + ". Came in " +
                        complaint->added_at.substr(0, 10) + ".";
    if (!complaint->serial.empty()) about += " Unit " + complaint->serial + ".";
    std::string body = report::html_tag("p", about);
    if (!complaint->text.empty())
        body += report::html_tag("h2", "What was reported") + report::html_tag("p", complaint->text);
    if (!complaint->closed_at.empty())
        body += report::html_tag("h2", "Outcome") + report::html_tag("p", complaint->outcome);
    body += report::html_tag("h2", "Reply") + "<div class=\"letter\">\n";
    for (std::size_t at = 0; at < complaint->reply.size();) {
        const std::size_t end = std::min(complaint->reply.find("\n\n", at), complaint->reply.size());
        body += report::html_tag("p", complaint->reply.substr(at, end - at));
        at = end + 2;
    }
    body += "</div>\n" + page_answer(findings, complaint->answer) +
            report::page_picture(findings, sheet ? &*sheet : nullptr) + report::page_tone_tables(findings) +
            report::page_conditions(findings, {});
    const std::string limits = "This clip can tell about " + base::short_hz(complaint->usable_low_hz) + " to " +
                               base::short_hz(complaint->usable_high_hz) + " and about nothing outside that.";
    return report::page_of(
        base::OutputKind::complaint_page,
        "Complaint " + complaint->id.substr(0, 8) + (complaint->board.empty() ? "" : " about " + complaint->board),
        complaint->answer, body + page_limits({limits}) + report::page_cautions());
}

}  // namespace tattletone::report
