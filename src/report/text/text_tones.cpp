#include "report/text/text_tones.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/text/number.h"
#include "report/audible.h"
#include "report/text/columns.h"
#include "report/text/undeclared.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr int narrowest_table = 72;
const std::string detail_indent = "       ";

std::string explanation_of(const match::Findings& findings, const tones::UnitTone& tone) {
    if (findings.board.empty()) return {};
    const auto found = findings.explained_by.find(tone.id);
    if (found == findings.explained_by.end() || found->second.empty()) return "none of the declared rates";
    std::string text;
    for (std::size_t i = 0; i < found->second.size() && i < 3; ++i) {
        const match::Explanation& explanation = found->second[i];
        if (i > 0 && explanation.probability < 0.05) break;
        text += (i == 0 ? "" : "; or ") + explanation_words(explanation);
        if (explanation.probability <= 0.95) text += " (" + probability_number(explanation.probability) + ")";
    }
    if (found->second[0].probability < 0.05) text = "none of the declared rates";
    return text;
}

std::vector<std::string> details(const match::Findings& findings, const tones::UnitTone& tone) {
    std::vector<std::string> lines;
    const std::string explained = explanation_of(findings, tone);
    if (!explained.empty()) lines.push_back(explained);
    if (const std::string line = undeclared_line_words(findings, tone); !line.empty()) lines.push_back(line);
    if (tone.tone.faint) lines.push_back(faint_words);
    if (hardly_audible(tone.tone)) lines.push_back("hardly audible");
    if (drifts(tone.tone))
        lines.push_back("moves from " + base::short_hz(tone.tone.start_hz) + " to " + base::short_hz(tone.tone.end_hz));
    if (tone.tone.bursts_hz > 0.0)
        lines.push_back("sounds in bursts, " +
                        base::fixed(tone.tone.bursts_hz, std::min(base::decimals_for(tone.tone.bursts_hz_sd), 3)) +
                        " a second: the lines beside it are theirs");
    const std::string heard = where_heard(findings, tone);
    if (!heard.empty()) lines.push_back(heard);
    const std::string spots = spot_words(findings, tone);
    if (!spots.empty()) lines.push_back(spots);
    return lines;
}

std::string row(const match::Findings& findings, const tones::UnitTone& tone) {
    const tones::Tone& line = tone.tone;
    const std::string prominent = line.prominent ? (*line.prominent ? "yes" : "no") : "-";
    return right_in(std::to_string(tone.id), 5) + "  " + left_in(frequency_words(findings, line) + " Hz", 27) +
           right_in(base::fixed(line.level_dbfs, 1), 8) + right_in(base::fixed(line.tone_to_noise_db, 1), 9) +
           right_in(base::fixed(line.prominence_db, 1), 9) + right_in(prominent, 8) +
           right_in(base::fixed(100.0 * line.present, 0) + " %", 8) + '\n';
}

std::string list_entry(const match::Findings& findings, const tones::UnitTone& tone, const TextStyle& style) {
    const tones::Tone& line = tone.tone;
    return wrapped(std::to_string(tone.id) + ": " + frequency_words(findings, line) + " Hz, " +
                       base::fixed(line.level_dbfs, 1) + " dBFS, tone to noise " +
                       base::fixed(line.tone_to_noise_db, 1) + " dB, prominence " + base::fixed(line.prominence_db, 1) +
                       " dB, prominent by ratio: " + prominence_words(line) + ", present " +
                       base::fixed(100.0 * line.present, 0) + " %",
                   style.columns, "  ", "    ");
}

std::string legend(const std::vector<const tones::UnitTone*>& tones, const TextStyle& style) {
    bool high = false, low = false;
    for (const tones::UnitTone* tone : tones) {
        if (tone->tone.prominent) continue;
        (tone->tone.hz > 1000.0 ? high : low) = true;
    }
    std::string text =
        "± is one standard deviation, the sound card's clock included; those best audible come first. 'Prominent' is "
        "by "
        "ratio: over the noise by ECMA-418-1's tone-to-noise or prominence ratio, whether or not it is "
        "loud enough to be heard";
    if (high) text += "; -: no criterion above 11.2 kHz";
    if (low) text += "; -: no criterion below 89.1 Hz";
    return wrapped(text + ".", style.columns, "  ", "  ");
}

}  // namespace

std::string board_tones_text(const match::Findings& findings, const std::vector<const tones::UnitTone*>& all,
                             const TextStyle& style) {
    const auto tones = without_combs(all);
    std::string combs;
    for (const match::FoundComb& comb : findings.combs)
        combs +=
            wrapped(comb_words(comb) + " (" + probability_number(comb.probability) + ")", style.columns, "  ", "    ");
    for (const match::UndeclaredComb& comb : findings.undeclared)
        combs += wrapped(undeclared_words(findings, comb) + " (" + probability_number(comb.probability) + ")",
                         style.columns, "  ", "    ");
    if (tones.empty()) return combs;
    const bool table = style.columns >= narrowest_table + 5;
    std::string text;
    if (table)
        text = right_in("#", 5) + "  " + left_in("frequency", 27) + right_in("level", 8) + right_in("tone to", 9) +
               right_in("promin.", 9) + right_in("promi-", 8) + right_in("present", 8) + '\n' + std::string(34, ' ') +
               right_in("dBFS", 8) + right_in("noise dB", 9) + right_in("ratio dB", 9) + right_in("nent", 8) + '\n';
    for (const tones::UnitTone* tone : tones) {
        text += table ? row(findings, *tone) : list_entry(findings, *tone, style);
        for (const std::string& line : details(findings, *tone))
            text +=
                wrapped(line, style.columns, table ? detail_indent : "    ", table ? detail_indent + "  " : "      ");
    }
    return text + combs + legend(tones, style);
}

std::string other_tones_text(const match::Findings& findings, const std::vector<const tones::UnitTone*>& tones,
                             const TextStyle& style) {
    constexpr std::size_t most_in_a_group = 12;
    std::vector<std::pair<std::string, std::vector<const tones::UnitTone*>>> groups;
    for (const tones::UnitTone* tone : tones) {
        std::string why = match::origin_word(tone->tone.origin);
        if (tone->tone.origin == tones::Origin::unsure && !tone->tone.rejection.empty())
            why += ", " + base::printable(tone->tone.rejection);
        auto group =
            std::find_if(groups.begin(), groups.end(), [&](const auto& candidate) { return candidate.first == why; });
        if (group == groups.end()) group = groups.insert(group, {why, {}});
        group->second.push_back(tone);
    }
    std::string text;
    for (const auto& [why, members] : groups) {
        std::string list;
        for (std::size_t i = 0; i < members.size() && i < most_in_a_group; ++i) {
            const tones::Tone& tone = members[i]->tone;
            list += (i == 0 ? "" : ", ") +
                    base::fixed(tone.hz, std::min(base::decimals_for(shown_sd_hz(findings, tone)), 2));
        }
        list += " Hz";
        if (members.size() > most_in_a_group)
            list += " and " + std::to_string(members.size() - most_in_a_group) + " more";
        text += wrapped(why + ": " + list, style.columns, "  ", "    ");
    }
    return text;
}

}  // namespace tattletone::report
