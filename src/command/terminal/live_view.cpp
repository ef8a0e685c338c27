#include "command/terminal/live_view.h"

#include <algorithm>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "match/json/findings_json.h"
#include "report/text/columns.h"
#include "report/text/text.h"
#include "report/text/undeclared.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::command {
namespace {

std::string live_object(const session::Snapshot& snapshot) {
    base::JsonWriter json;
    json.open('{').key("sequence").integer(static_cast<long long>(snapshot.sequence));
    json.key("device").text(snapshot.device).key("state").text(word_of(snapshot.state));
    json.key("message").text_or_null(snapshot.message);
    json.key("sample_rate_hz").whole_or_real(snapshot.sample_rate_hz, 3);
    json.key("seconds_heard").real(snapshot.seconds_heard, 3);
    json.key("analysed_until_seconds").real(snapshot.analysed_until_seconds, 3);
    json.key("lost_samples").integer(static_cast<long long>(snapshot.lost_frames));
    json.key("dropouts").integer(static_cast<long long>(snapshot.dropouts));
    json.key("gaps").integer(static_cast<long long>(snapshot.gaps));
    json.key("peak_dbfs").real(snapshot.level.peak_dbfs, 1).key("rms_dbfs").real(snapshot.level.rms_dbfs, 1);
    json.key("clipping").boolean(snapshot.level.clipping).close('}');
    return json.str();
}

std::string level_text(const session::Snapshot& snapshot) {
    if (snapshot.seconds_heard == 0.0) return "no sound yet";
    if (snapshot.level.rms_dbfs < -300.0) return "digital silence";
    return base::fixed(snapshot.level.rms_dbfs, 1) + " dBFS" + (snapshot.level.clipping ? ", clipping" : "");
}

std::string losses_text(const session::Snapshot& snapshot) {
    if (snapshot.gaps == 0) return "";
    std::string text = std::to_string(snapshot.gaps) + (snapshot.gaps == 1 ? " gap" : " gaps");
    if (snapshot.lost_frames > 0) text += ", " + std::to_string(snapshot.lost_frames) + " samples lost";
    return text;
}

std::string cut(const std::string& text, int columns, int rows) {
    std::string out;
    int row = 0;
    for (std::size_t start = 0; start < text.size() && row < rows; ++row) {
        const std::size_t end = std::min(text.find('\n', start), text.size());
        std::string line = text.substr(start, end - start);
        int column = 0;
        for (std::size_t i = 0; i < line.size();) {
            const std::string_view rest = std::string_view(line).substr(i);
            if (rest.starts_with(base::begin_bold) || rest.starts_with(base::end_bold)) {
                i += rest.starts_with(base::begin_bold) ? base::begin_bold.size() : base::end_bold.size();
                continue;
            }
            const std::size_t bytes = std::max<std::size_t>(base::utf8_character(rest, 0).bytes, 1);
            column += report::display_columns(rest.substr(0, bytes));
            if (column > columns) {
                const bool was_bold = rest.find(base::end_bold) != std::string_view::npos;
                line.resize(i);
                if (was_bold) line += base::end_bold;
                break;
            }
            i += bytes;
        }
        out += line + '\n';
        start = end + 1;
    }
    return out;
}

}  // namespace

std::string live_json(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings) {
    const base::JsonParts live = {{"live", live_object(snapshot)}};
    if (findings) return match::findings_json(*findings, live) + '\n';
    base::JsonWriter json;
    json.open('{').key("format").text(match::findings_format);
    for (const char* key : {"recordings", "tones", "suspects"}) json.key(key).open('[').close(']');
    json.key("verdict").null().parts(live).close('}');
    return json.str() + '\n';
}

std::string live_line(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings) {
    std::string line = base::fixed(snapshot.seconds_heard, 1) + " s  " + level_text(snapshot);
    if (const std::string losses = losses_text(snapshot); !losses.empty()) line += "  " + losses;
    if (!snapshot.message.empty()) line += "  " + base::printable(snapshot.message);
    if (!findings || snapshot.state != sound::DeviceState::running) return line + '\n';
    for (const match::Suspect& suspect : findings->suspects) {
        if (suspect.probability >= 0.1)
            line += "  " + base::printable(suspect.rate) + " " + report::probability_number(suspect.probability);
    }
    auto tones = report::without_combs(report::tones_of(*findings, true));
    std::erase_if(tones, [&](const auto* tone) { return report::undeclared_of(*findings, tone->id) != nullptr; });
    for (const match::UndeclaredComb& comb : findings->undeclared)
        line += "  " + std::to_string(comb.lines) + " lines of " + report::fundamental_words(*findings, comb);
    constexpr std::size_t most = 6;
    for (std::size_t i = 0; i < std::min(most, tones.size()); ++i) {
        line += "  " + base::fixed(tones[i]->tone.hz, 2) + " Hz";
    }
    if (tones.size() > most) line += "  and " + std::to_string(tones.size() - most) + " more";
    if (tones.empty() && findings->undeclared.empty()) line += "  no tone of the board";
    return line + '\n';
}

std::string live_block(const session::Snapshot& snapshot, const std::optional<match::Findings>& findings, int columns,
                       int rows, bool bold) {
    std::string text = base::printable(snapshot.device) + ", " + base::fixed(snapshot.seconds_heard, 1) + " s heard, " +
                       level_text(snapshot);
    if (const std::string losses = losses_text(snapshot); !losses.empty()) text += ", " + losses;
    text += '\n';
    if (!snapshot.message.empty()) {
        // The advice must not be cut off: it is broken where the line ends.
        text += report::wrapped(snapshot.message, columns);
    }
    text += '\n';
    if (findings) {
        report::TextStyle style;
        style.columns = columns;
        style.bold = bold;
        style.how_to_see_all.clear();
        text += report::findings_text(*findings, style);
    } else {
        text += "Listening: half a second of sound is needed.\n";
    }
    return cut(text, columns, rows);
}

}  // namespace tattletone::command
