#include "report/words.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <string_view>

#include "base/text/number.h"
#include "match/explain/wording.h"
#include "report/text/columns.h"
#include "report/text/next.h"

namespace tattletone::report {

std::string probability_word(double probability) {
    if (probability >= 0.95) return "almost certainly";
    if (probability >= 0.5) return "probably";
    if (probability >= 0.1) return "possibly";
    return "hardly";
}

std::string probability_number(double probability) {
    if (probability > 0.995) return "over 0.99";
    if (probability < 0.005) return "under 0.01";
    return base::fixed(probability, 2);
}

std::string explanation_words(const match::Explanation& explanation) {
    const std::string rate = base::printable(explanation.rate), other = base::printable(explanation.other);
    const std::string order = std::to_string(explanation.order);
    switch (explanation.kind) {
        case board::LineKind::harmonic:
            return (explanation.order == 1 ? "fundamental" : match::ordinal(explanation.order) + " harmonic") + " of " +
                   rate;
        case board::LineKind::subharmonic:
            return order + "/2 of " + rate;
        case board::LineKind::sideband:
            return "sideband " + std::string(explanation.order > 0 ? "+" : "") + order + " of " + rate + " by " + other;
        case board::LineKind::image:
            return "image of the " + match::ordinal(explanation.order) + " harmonic of " + rate;
        case board::LineKind::beat:
            return "beat of " + rate + " and " + other;
    }
    return rate;
}

std::string prominence_words(const tones::Tone& tone) {
    if (tone.prominent) return *tone.prominent ? "yes" : "no";
    return tone.hz > 1000.0 ? "no criterion above 11.2 kHz" : "no criterion below 89.1 Hz";
}

std::vector<const tones::UnitTone*> tones_of(const match::Findings& findings, bool of_the_board) {
    std::vector<const tones::UnitTone*> tones;
    for (const tones::UnitTone& tone : findings.unit.tones)
        if ((tone.tone.origin == tones::Origin::board) == of_the_board) tones.push_back(&tone);
    return tones;
}

std::string where_heard(const match::Findings& findings, const tones::UnitTone& tone) {
    if (findings.unit.takes.size() < 2) return {};
    std::string heard, silent;
    for (const tones::HeardIn& entry : tone.heard_in) {
        const std::string name = std::to_string(entry.take + 1);
        if (entry.heard)
            heard += (heard.empty() ? "" : ", ") + name + " (" + base::fixed(entry.level_dbfs, 1) + " dBFS)";
        else
            silent += (silent.empty() ? "" : ", ") + name + " (below " + base::fixed(entry.below_dbfs, 1) + " dBFS)";
    }
    std::string text;
    if (!heard.empty()) text = "heard in recording " + heard;
    if (!silent.empty()) text += (text.empty() ? "not heard in recording " : "; not in ") + silent;
    return text;
}

std::string suspect_title(const match::Suspect& suspect) {
    const std::string rate = base::printable(suspect.rate), part = base::printable(suspect.part_name);
    return part.empty() || part == rate.substr(0, rate.find('.')) ? rate : rate + ", " + part;
}

std::string said_words(const tones::Take& take) {
    std::string text;
    if (!take.state.empty()) text += ", state " + base::printable(take.state);
    if (!take.spot.empty()) text += ", spot " + base::printable(take.spot);
    std::vector<std::string> changes;
    for (const tones::Change& change : take.changes)
        changes.push_back(base::printable(change.what) + (change.hz > 0.0 ? " at " + match::as_hz(change.hz) : " off"));
    if (!changes.empty()) text += ", with " + match::joined(changes);
    return text;
}

std::string card_words(const match::Findings& findings) {
    if (findings.card_error_from.empty()) return {};
    std::vector<std::string> rates;
    for (const std::string& rate : findings.card_error_from) rates.push_back(base::printable(rate));
    const double ppm = findings.card_error_ppm;
    const int decimals = findings.card_error_ppm_sd < 9.5 ? 1 : 0;
    return "The sound card reads frequencies " + base::fixed(std::abs(ppm), decimals) + " ± " +
           base::fixed(findings.card_error_ppm_sd, decimals) + " ppm " + (ppm < 0.0 ? "low" : "high") + ", from " +
           match::joined(rates) + "; this narrows the windows of all rates.";
}

std::string spot_words(const match::Findings& findings, const tones::UnitTone& tone) {
    const auto found = findings.spots.find(tone.id);
    if (found == findings.spots.end() || !found->second.levels[0].heard) return {};
    const match::SpotComparison& spots = found->second;
    const match::SpotLevel& second = spots.levels[1];
    std::string text = "loudest over '" + base::printable(spots.levels[0].spot) + "', by " +
                       (second.heard ? "" : "at least ") + base::fixed(spots.difference_db, 0) + " ± " +
                       base::fixed(spots.difference_sd_db, 0) + " dB" +
                       (spots.counts ? "" : ", which means nothing: no more than the hand's scatter") + " (";
    for (std::size_t i = 0; i < spots.levels.size(); ++i) {
        const match::SpotLevel& level = spots.levels[i];
        text += (i == 0 ? "" : ", ") + base::printable(level.spot) + " " +
                (level.heard ? base::fixed(level.level_dbfs, 1) + " ± " + base::fixed(level.level_sd_db, 1)
                             : "below " + base::fixed(level.below_dbfs, 1)) +
                " dBFS";
    }
    return text + ")";
}

std::string take_words(const tones::Tones& found) {
    std::string text = base::fixed(found.seconds, 1) + " s at " + base::short_hz(found.sample_rate_hz);
    if (found.usable.high_hz > found.usable.low_hz)
        text += ", usable from " + base::short_hz(found.usable.low_hz) + " to " + base::short_hz(found.usable.high_hz);
    return text;
}

namespace {

std::string count_word(std::size_t count) {
    static constexpr const char* few[] = {"No", "One", "Two", "Three", "Four", "Five", "Six"};
    return count < std::size(few) ? few[count] : std::to_string(count);
}

const tones::UnitTone* strongest(const std::vector<const tones::UnitTone*>& tones) {
    const auto found =
        std::max_element(tones.begin(), tones.end(), [](const tones::UnitTone* a, const tones::UnitTone* b) {
            return a->tone.tone_to_noise_db < b->tone.tone_to_noise_db;
        });
    return found == tones.end() ? nullptr : *found;
}

std::string place_of(const tones::UnitTone& tone) {
    const tones::Tone& line = tone.tone;
    if (line.steady) return base::fixed(line.hz, std::min(base::decimals_for(line.hz_sd), 2)) + " Hz";
    return base::short_hz(line.hz);
}

std::string named_sentence(const match::Findings& findings) {
    std::vector<const match::Suspect*> named;
    for (const match::Suspect& suspect : findings.suspects)
        if (suspect.probability >= 0.5) named.push_back(&suspect);
    const auto chance = [](const match::Suspect& suspect) {
        return probability_word(suspect.probability) + " (" + probability_number(suspect.probability) + ")";
    };
    if (named.size() == 1) {
        const match::Suspect& suspect = *named[0];
        std::vector<const tones::UnitTone*> heard;
        for (const tones::UnitTone& tone : findings.unit.tones)
            if (std::find(suspect.tones.begin(), suspect.tones.end(), tone.id) != suspect.tones.end())
                heard.push_back(&tone);
        const std::string title = suspect_title(suspect);
        std::string text = title + (title.find(',') == std::string::npos ? " is " : ", is ") +
                           probability_word(suspect.probability) + " singing (" +
                           probability_number(suspect.probability) + ")";
        if (const tones::UnitTone* loudest = strongest(heard))
            text += (heard.size() == 1 ? ", at " : ", clearest at ") + place_of(*loudest);
        return text + ".";
    }
    std::string text = count_word(named.size()) + " rates are singing: ";
    for (std::size_t i = 0; i < named.size(); ++i)
        text += (i == 0                  ? ""
                 : i + 1 == named.size() ? " and "
                                         : ", ") +
                base::printable(named[i]->rate) + ", " + chance(*named[i]);
    return text + ".";
}

// Where no take could have shown a tone, "none was found" would be no answer.
bool every_take_says(const match::Findings& findings, std::string_view beginning) {
    return std::all_of(findings.unit.takes.begin(), findings.unit.takes.end(), [&](const tones::Take& take) {
        return std::any_of(take.found.notices.begin(), take.found.notices.end(),
                           [&](const std::string& notice) { return notice.starts_with(beginning); });
    });
}

}  // namespace

std::string answer_sentence(const match::Findings& findings) {
    auto board = tones_of(findings, true);
    if (findings.verdict == match::Verdict::named && !findings.suspects.empty()) return named_sentence(findings);
    const tones::UnitTone* loudest = strongest(board);
    if (findings.verdict == match::Verdict::quiet || loudest == nullptr) {
        if (loudest != nullptr && !findings.suspects.empty())
            return "No tone of the board was found for certain; a faint line at " + place_of(*loudest) +
                   " may be noise, or " + base::printable(findings.suspects[0].rate) + ", " +
                   probability_word(findings.suspects[0].probability) + " (" +
                   probability_number(findings.suspects[0].probability) + ").";
        const std::size_t others = tones_of(findings, false).size();
        if (others == 0 && every_take_says(findings, "silence:"))
            return "This cannot tell: nothing but silence was recorded.";
        if (others == 0 && every_take_says(findings, "too short:"))
            return "This cannot tell: the recording is too short.";
        if (others == 0) return "No tone of the board was found.";
        return "No tone of the board was found; " + std::to_string(others) +
               (others == 1 ? " tone is from elsewhere or unsure." : " tones are from elsewhere or unsure.");
    }
    std::erase_if(board, [](const tones::UnitTone* tone) { return tone->tone.faint; });
    loudest = strongest(board);
    if (loudest == nullptr) return "No tone of the board was found for certain.";
    std::string text =
        count_word(board.size()) +
        (board.size() == 1 ? " tone of the board was found, at " : " tones of the board were found, the clearest at ");
    text += place_of(*loudest);
    if (findings.board.empty()) return text + "; without a board sheet nobody is suspected.";
    if (findings.suspects.empty()) return text + ", and none of the declared rates explains it.";
    const match::Suspect& first = findings.suspects[0];
    return text + ", and no declared rate explains it well; " + base::printable(first.rate) + " " +
           probability_word(first.probability) + " (" + probability_number(first.probability) + ").";
}

std::string next_step(const match::Findings& findings, bool room_given) {
    if (findings.board.empty()) return "Declare the board's parts and rates in a board sheet and give it with --board.";
    if (findings.verdict == match::Verdict::quiet)
        return "Hold the microphone within a few centimetres of the board, switch speech "
               "enhancement off "
               "('tattletone devices' says how), and record 10 s or more in each state.";
    if (const std::string experiment = next_sentence(findings); !experiment.empty()) return experiment;
    int undecided = 0;
    for (const match::Suspect& suspect : findings.suspects)
        if (suspect.probability > 0.1 && suspect.probability < 0.9) ++undecided;
    bool states_given = false;
    for (const tones::Take& take : findings.unit.takes) states_given = states_given || !take.state.empty();
    if (undecided > 1)
        return "Ask 'tattletone predict SHEET' which line or state tells the suspects apart, and "
               "record that.";
    if (!states_given)
        return "Record the board in each of its states and give them with --state NAME=FILE: a "
               "tone that goes "
               "with its state is strong evidence.";
    if (!room_given)
        return "Record the room with the board unpowered and give it with --room FILE: what is "
               "still there is "
               "not the board.";
    if (findings.verdict == match::Verdict::unknown)
        return "Look for an activity that the board sheet does not list: a timer, a bus poll, a "
               "converter at "
               "light load.";
    return "Stop the suspect or change its rate on the bench and record again: its tones must go "
           "or move "
           "with it.";
}

std::string minute_of(const std::string& utc) {
    if (utc.size() < 16) return utc;
    return utc.substr(0, 10) + " " + utc.substr(11, 5);
}

}  // namespace tattletone::report
