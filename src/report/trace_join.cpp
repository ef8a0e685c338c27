#include <algorithm>
#include <cmath>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"
#include "report/trace_report.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr double least_cause = 0.1;

double before(const match::TraceJoin& join, const std::string& rate) {
    const auto found = join.without.find(rate);
    return found == join.without.end() ? 0.0 : found->second;
}

double now_of(const match::Findings& findings, const std::string& rate) {
    const auto suspect = std::find_if(findings.suspects.begin(), findings.suspects.end(),
                                      [&](const match::Suspect& s) { return s.rate == rate; });
    return suspect == findings.suspects.end() ? 0.0 : suspect->probability;
}

const match::TraceCause* cause_of(const match::TraceJoin& join, const std::string& rate) {
    for (const match::TraceCause& cause : join.causes)
        if (cause.rate == rate) return &cause;
    return nullptr;
}

std::string rate_of_line(const match::TraceLine& line) {
    return "'" + line.column + "' repeats at " + base::with_uncertainty(line.hz, line.sd()) + " Hz";
}

}  // namespace

match::TraceLine line_of(const TraceColumnReport& column, int rail, double clock_ppm) {
    match::TraceLine line;
    line.column = column.name;
    line.rail = rail;
    line.warning = column.warning;
    line.hz = column.shape.repetition->hz;
    line.hz_sd = column.shape.repetition->hz_sd;
    line.clock_ppm = clock_ppm;
    return line;
}

std::string tone_sentence(const match::TraceTone& beside, const tones::UnitTones& unit, const match::TraceLine& line) {
    const auto found = std::find_if(unit.tones.begin(), unit.tones.end(),
                                    [&](const tones::UnitTone& t) { return t.id == beside.tone; });
    if (found == unit.tones.end()) return {};
    const double tone_sd =
        std::sqrt(std::max(0.0, beside.sd_hz * beside.sd_hz - std::pow(beside.multiple * line.sd(), 2)));
    const auto times = [&](double multiple) {
        return base::with_uncertainty(multiple * line.hz, multiple * line.sd()) + " Hz";
    };
    std::string text =
        "Tone " + std::to_string(beside.tone) + " is at " + base::with_uncertainty(found->tone.hz, tone_sd) + " Hz";
    if (beside.multiple < 1.0) text += ", and half the trace's rate is " + times(0.5);
    if (beside.multiple > 1.0)
        text += ", and " + std::to_string(std::lround(beside.multiple)) + " × the trace's rate is " +
                times(beside.multiple);
    text += ": ";
    const double sigmas = std::abs(beside.difference_hz) / beside.sd_hz;
    if (!beside.same)
        return text + "not the same, " + base::significant(std::abs(beside.difference_hz), 3) + " Hz or " +
               (sigmas > 99.0 ? "over 99" : base::fixed(sigmas, 0)) + " standard deviations apart";
    if (beside.by_chance > 0.2) return text + "maybe the same, but the trace knows its rate too badly to tell";
    return text + "the same within the two clocks' errors";
}

void tell_trace(match::Findings& findings, const match::TraceJoin& join) {
    for (match::Suspect& suspect : findings.suspects) {
        const match::TraceCause* cause = cause_of(join, suspect.rate);
        if (cause == nullptr || cause->probability < least_cause) continue;
        const match::TraceTone* best = nullptr;
        for (const match::TraceTone& beside : join.tones) {
            const bool explains =
                std::find(suspect.tones.begin(), suspect.tones.end(), beside.tone) != suspect.tones.end();
            if (explains && (best == nullptr || beside.multiple < best->multiple)) best = &beside;
        }
        const std::string reason =
            best != nullptr
                ? "the trace: " + rate_of_line(join.line) + ". " + tone_sentence(*best, findings.unit, join.line)
                : "the trace: '" + join.line.column + "' repeats at its rate, but no tone lies on a multiple of that";
        if (best == nullptr || !best->same) suspect.against.push_back(reason);
        suspect.reasons.insert(suspect.reasons.begin() + (suspect.reasons.empty() ? 0 : 1), reason);
    }
}

std::vector<std::string> join_sentences(const match::Findings& findings, const match::TraceJoin& join) {
    std::vector<std::string> lines;
    for (const match::TraceTone& beside : join.tones)
        lines.push_back((lines.empty() ? rate_of_line(join.line) + ". " : "") +
                        tone_sentence(beside, findings.unit, join.line) + ".");
    if (join.tones.empty())
        lines.push_back(rate_of_line(join.line) +
                        "; no tone of the board lies on it or on a multiple of it. If the trace and the "
                        "recording are of the same state, what moves this wire is probably not "
                        "what is heard.");
    constexpr std::size_t most_told = 6;
    if (lines.size() > most_told) {
        const std::size_t more = lines.size() - most_told;
        lines.resize(most_told);
        lines.push_back("And " + std::to_string(more) + " more tones near its multiples.");
    }
    for (const match::TraceCause& cause : join.causes) {
        if (cause.probability < least_cause) continue;
        std::string line = "It shows " + cause.rate + " with a probability of " + probability_number(cause.probability);
        const double now = now_of(findings, cause.rate);
        line += ". That " + cause.rate + " sings: " + probability_number(before(join, cause.rate)) +
                " without the trace, " + probability_number(now) + " with it.";
        lines.push_back(line);
    }
    if (!findings.board.empty() && (join.causes.empty() || join.causes[0].probability < least_cause))
        lines.push_back(
            "No declared rate is likely to be behind the trace, so it changes nothing in the "
            "diagnosis.");
    if (!join.line.warning.empty()) lines.insert(lines.begin(), join.line.warning);
    lines.push_back("The scope's clock is taken as right to " + base::trimmed(join.line.clock_ppm, 1) + " ppm.");
    return lines;
}

std::string join_note(const match::Findings& findings, const match::TraceJoin& join) {
    std::string text = rate_of_line(join.line);
    if (join.causes.empty() || join.causes[0].probability < least_cause) {
        text += "; no declared rate is likely to be behind it, so it changes nothing";
    } else {
        const match::TraceCause& cause = join.causes[0];
        const double now = now_of(findings, cause.rate);
        text += ", as " + base::printable(cause.rate) + " does (" + probability_number(cause.probability) +
                "): " + probability_number(before(join, cause.rate)) + " without the trace, " +
                probability_number(now) + " with it";
    }
    return text + (join.line.warning.empty() ? "" : ". " + base::printable(join.line.warning));
}

std::string join_text(const match::Findings& findings, const match::TraceJoin& join, int columns, bool bold) {
    std::string text = heading("The trace", columns, bold);
    for (const std::string& line : join_sentences(findings, join))
        text += wrapped(base::printable(line), columns, "  ", "    ");
    return text;
}

std::string join_json(const match::TraceJoin& join) {
    base::JsonWriter w;
    w.open('{');
    w.key("column").text(join.line.column);
    w.key("warning").text_or_null(join.line.warning);
    w.key("hz").real(join.line.hz, 6);
    w.key("hz_sd").real(join.line.hz_sd, 6);
    w.key("clock_ppm").whole_or_real(join.line.clock_ppm, 3);
    w.key("shows").open('[');
    for (const match::TraceCause& cause : join.causes) {
        w.open('{');
        w.key("rate").text(cause.rate);
        w.key("probability").real(cause.probability, 4);
        w.key("sings_without_trace").real(before(join, cause.rate), 4);
        w.close('}');
    }
    w.close(']');
    w.key("tones").open('[');
    for (const match::TraceTone& tone : join.tones) {
        w.open('{').key("tone").integer(tone.tone).key("multiple").whole_or_real(tone.multiple, 1);
        w.key("difference_hz").real(tone.difference_hz, 6).key("sd_hz").real(tone.sd_hz, 6);
        w.key("same").boolean(tone.same).close('}');
    }
    w.close(']');
    w.close('}');
    return w.str();
}

}  // namespace tattletone::report
