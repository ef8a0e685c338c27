#include <algorithm>
#include <cmath>
#include <map>

#include "base/text/number.h"
#include "board/confusable.h"
#include "match/explain/wording.h"
#include "report/prediction.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr std::size_t most_harmonics_shown = 8;

std::string tolerance_words(double ppm) {
    return ppm >= 1000.0 ? base::trimmed(ppm / 1e4, 3) + " %" : base::trimmed(ppm, 2) + " ppm";
}

// Two digits of the half width are kept: it is a limit, not an uncertainty.
std::string window(double nominal, double low, double high) {
    const double half = 0.5 * (high - low);
    const int decimals = half > 0.0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(half))), 0, 6) : 6;
    return base::fixed(nominal, decimals) + " ± " + base::fixed(half, decimals) + " Hz";
}

// "3rd harmonic".
std::string harmonic_words(int order) {
    const std::string text = match::line_text(board::about(board::LineKind::harmonic).name, {order, 0, "", ""});
    return text.substr(0, text.find(" of "));
}

class Prediction {
  public:
    Prediction(const board::BoardSheet& sheet, const board::LineLimits& limits, const PredictionStyle& style)
        : sheet_(sheet), limits_(limits), style_(style) {
        style_.columns = std::max(style.columns, 40);
    }

    std::string text() {
        std::string title = base::printable(sheet_.name);
        if (!sheet_.revision.empty()) title += " " + base::printable(sheet_.revision);
        if (style_.state >= 0) title += ", state " + state_name(style_.state);
        put(title + ": lines to expect from " + base::short_hz(limits_.low_hz) + " to " +
                base::short_hz(limits_.high_hz),
            "", "");
        if (sheet_.rates.empty()) put("The sheet declares no rate yet: add a [[part.rate]] to a part.", "", "");
        for (int i = 0; i < count(); ++i)
            if (active(i)) rate(i);
        if (style_.state < 0) states();
        pairs();
        return std::move(text_);
    }

  private:
    int count() const { return static_cast<int>(sheet_.rates.size()); }
    const board::Rate& at(int index) const { return sheet_.rates[static_cast<std::size_t>(index)]; }
    bool active(int index) const { return sheet_.active(at(index), style_.state); }
    const std::string& name(int index) const { return at(index).full_name; }
    const std::string& state_name(int state) const { return sheet_.states[static_cast<std::size_t>(state)]; }

    void put(const std::string& text, const std::string& first, const std::string& next) {
        text_ += wrapped(text, style_.columns, first, next);
    }

    void heading(const std::string& text) { text_ += report::heading(text, style_.columns, style_.bold); }

    void describe(const board::Rate& rate) {
        static constexpr const char* shapes[] = {"pulse", "square", "sine"};
        std::string text = rate.wanders()
                               ? "wanders from " + base::short_hz(rate.hz_min) + " to " + base::short_hz(rate.hz_max)
                               : base::trimmed(rate.hz, 6) + " Hz ± " + tolerance_words(rate.tolerance_ppm);
        if (rate.tolerance_assumed) text += " (assumed: the sheet gives no tolerance)";
        text += ", " + std::string(shapes[static_cast<int>(rate.shape)]);
        std::string active;
        for (const int state : rate.active_in) active += (active.empty() ? " in " : ", ") + state_name(state);
        put(text + (active.empty() ? "" : "; active" + active), "  ", "  ");
    }

    void rate(int index) {
        const board::Rate& rate = at(index);
        const std::string part = base::printable(sheet_.parts[static_cast<std::size_t>(rate.part)].name);
        heading(rate.full_name.starts_with(part + ".") ? rate.full_name : rate.full_name + ", " + part);
        describe(rate);
        std::map<board::LineKind, std::vector<board::Line>> by_kind;
        const auto lines = board::lines_of(sheet_, index, limits_);
        for (const board::Line& line : lines) by_kind[line.kind].push_back(line);
        harmonics(rate, by_kind[board::LineKind::harmonic]);
        for (const board::LineKindRow& kind : board::line_kinds)
            if (kind.heading != nullptr) others(kind, by_kind[kind.value]);
        if (lines.empty()) put("no line in this range", "    ", "    ");
    }

    std::string range(double low, double high) const {
        return base::short_hz(std::max(low, limits_.low_hz)) + " to " + base::short_hz(std::min(high, limits_.high_hz));
    }

    std::string place(const board::Line& line) const {
        const bool wanders = at(line.rate).wanders() || (line.other >= 0 && at(line.other).wanders());
        return wanders ? range(line.low_hz, line.high_hz) : window(line.nominal_hz, line.low_hz, line.high_hz);
    }

    void harmonics(const board::Rate& rate, const std::vector<board::Line>& lines) {
        const std::size_t most = rate.wanders() ? 1 : most_harmonics_shown;
        const std::size_t shown = style_.all ? lines.size() : std::min(lines.size(), most);
        for (std::size_t i = 0; i < shown; ++i)
            text_ += "    " + left_in(place(lines[i]), 24) + "  " + harmonic_words(lines[i].order) + '\n';
        if (shown < lines.size())
            put("… and " + std::to_string(lines.size() - shown) + " more, to the " +
                    match::ordinal(lines.back().order) + " harmonic" + (rate.wanders() ? ", all moving together" : "") +
                    " (--all lists them)",
                "    ", "    ");
        if ((board::most_order + 1) * rate.lowest_hz() <= limits_.high_hz)
            put("Only the first " + std::to_string(board::most_order) +
                    " multiples are compared: a tone above them counts as none of its lines.",
                "    ", "    ");
        for (std::size_t i = 1; i < lines.size(); ++i) {
            if (lines[i].low_hz > lines[i - 1].high_hz) continue;
            put("From the " + (lines[i - 1].order == 1 ? "fundamental" : match::ordinal(lines[i - 1].order)) +
                    " on the windows overlap: any tone above " + base::short_hz(lines[i - 1].low_hz) +
                    " fits, so one alone says little.",
                "    ", "    ");
            break;
        }
    }

    void others(const board::LineKindRow& kind, const std::vector<board::Line>& lines) {
        if (lines.empty()) return;
        if (!style_.all && kind.long_list) {
            put(std::to_string(lines.size()) + " " + kind.heading + ", weaker (--all lists them)", "    ", "    ");
            return;
        }
        std::string text, last;
        for (const board::Line& line : lines) {
            const std::string words =
                match::line_text(kind.listed, {line.order, static_cast<int>(line.own_multiple), name(line.rate),
                                               line.other >= 0 ? name(line.other) : std::string()});
            text += text.empty() ? "" : words == last ? ", " : "; ";
            if (words != last) text += words + " at ";
            text += place(line);
            last = words;
        }
        put(std::string(kind.heading) + ", weaker: " + text, "    ", "      ");
    }

    void states() {
        if (sheet_.states.empty()) return;
        heading("Active in each state");
        for (int state = 0; state < static_cast<int>(sheet_.states.size()); ++state) {
            std::string list;
            for (int i = 0; i < count(); ++i)
                if (sheet_.active(at(i), state)) list += (list.empty() ? "" : ", ") + name(i);
            put(state_name(state) + ": " + (list.empty() ? "nothing" : list), "  ", "    ");
        }
    }

    void pairs() {
        std::vector<board::ConfusablePair> pairs = board::confusable_pairs(sheet_, limits_);
        std::erase_if(pairs,
                      [&](const board::ConfusablePair& pair) { return !active(pair.rate) || !active(pair.other); });
        if (count() < 2) return;
        heading("Rates that can pass for one another, and what tells them apart");
        if (pairs.empty()) put("None: each has lines that no other can have.", "  ", "  ");
        for (const board::ConfusablePair& pair : pairs) this->pair(pair);
    }

    std::string line_place(const board::TellingLine& line) const {
        if (line.high_hz > 1.02 * line.low_hz) return range(line.low_hz, line.high_hz);
        return window(0.5 * (line.low_hz + line.high_hz), line.low_hz, line.high_hz);
    }

    void pair(const board::ConfusablePair& pair) {
        const std::string rate = name(pair.rate), other = name(pair.other);
        put(rate + " and " + other, "  ", "    ");
        put(pair.multiple == 1 ? "both can stand at the same lines, from " + base::short_hz(pair.at_hz) + " up"
                               : "every line of " + rate + " can stand on a line of " + other + ": the first, " +
                                     base::short_hz(pair.at_hz) + ", on its " +
                                     match::ordinal(pair.multiple * pair.at_order) + " harmonic",
            "    ", "    ");
        if (pair.line) {
            const board::TellingLine& line = *pair.line;
            const int spared = line.rate == pair.rate ? pair.other : pair.rate;
            put("told by the " + harmonic_words(line.order) + " of " + name(line.rate) + ", " + line_place(line) +
                    ", which " + name(spared) + (line.by_shape ? " mostly lacks by its shape" : " cannot have"),
                "    - ", "      ");
        }
        if (pair.by_drift)
            put("told by drift: a line that moves is that of " + (at(pair.rate).wanders() ? rate : other), "    - ",
                "      ");
        std::string states;
        for (const int state : pair.states) states += (states.empty() ? "" : " or ") + state_name(state);
        if (!states.empty())
            put("told by recording " + states + ", where only one of them is active", "    - ", "      ");
        if (!pair.line && !pair.by_drift && states.empty())
            put("nothing in a recording tells them apart: stop one of them, or change its rate", "    - ", "      ");
    }

    const board::BoardSheet& sheet_;
    board::LineLimits limits_;
    PredictionStyle style_;
    std::string text_;
};

}  // namespace

std::string prediction_text(const board::BoardSheet& sheet, const board::LineLimits& limits,
                            const PredictionStyle& style) {
    return Prediction(sheet, limits, style).text();
}

}  // namespace tattletone::report
