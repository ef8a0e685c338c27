#include "report/words.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <iterator>
#include <limits>
#include <map>
#include <string_view>

#include "base/text/number.h"
#include "match/explain/wording.h"
#include "match/far_fall.h"
#include "report/audible.h"
#include "report/hearing.h"
#include "report/next_steps.h"
#include "report/text/columns.h"
#include "report/text/undeclared.h"

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
    return match::line_text(
        board::about(explanation.kind).name,
        {explanation.order, 0, base::printable(explanation.rate), base::printable(explanation.other)});
}

std::string prominence_words(const tones::Tone& tone) {
    if (tone.prominent) return *tone.prominent ? "yes" : "no";
    return tone.hz > 1000.0 ? "no criterion above 11.2 kHz" : "no criterion below 89.1 Hz";
}

std::vector<const tones::UnitTone*> tones_of(const match::Findings& findings, bool of_the_board) {
    std::vector<const tones::UnitTone*> tones;
    for (const tones::UnitTone& tone : findings.unit.tones)
        if ((tone.tone.origin == tones::Origin::board) == of_the_board) tones.push_back(&tone);
    if (of_the_board)
        std::stable_sort(tones.begin(), tones.end(), [](const tones::UnitTone* a, const tones::UnitTone* b) {
            return audible_db(a->tone) > audible_db(b->tone);
        });
    return tones;
}

std::vector<const tones::UnitTone*> without_combs(std::vector<const tones::UnitTone*> tones) {
    std::erase_if(tones, [](const tones::UnitTone* tone) { return tone->tone.comb; });
    return tones;
}

std::string comb_words(const match::FoundComb& comb) {
    std::string text = std::to_string(comb.lines) + " multiples of " + base::printable(comb.rate) + " from " +
                       base::short_hz(comb.low_hz) + " to " + base::short_hz(comb.high_hz) + " together";
    if (comb.under_db >= 0.5) text += ", each some " + base::fixed(comb.under_db, 0) + " dB under what is found alone";
    return text;
}

std::string pulse_words(const match::PulsedRate& pulsed) {
    return "the noise from 2 to 10 kHz comes and goes " + base::with_uncertainty(pulsed.hz, pulsed.hz_sd) +
           " times a second, as " + base::printable(pulsed.rate) + " does";
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

std::vector<std::string> reasons_of(const match::Suspect& suspect, bool against) {
    std::vector<std::string> reasons;
    for (const std::string& reason : suspect.reasons)
        if ((std::find(suspect.against.begin(), suspect.against.end(), reason) != suspect.against.end()) == against)
            reasons.push_back(reason);
    return reasons;
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
        changes.push_back(base::printable(change.what) +
                          (change.hz > 0.0 ? " at " + match::as_declared(change.hz) : " off"));
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
    const auto found = std::max_element(
        tones.begin(), tones.end(),
        [](const tones::UnitTone* a, const tones::UnitTone* b) { return audible_db(a->tone) < audible_db(b->tone); });
    return found == tones.end() ? nullptr : *found;
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
        const auto comb = std::find_if(findings.combs.begin(), findings.combs.end(),
                                       [&](const match::FoundComb& one) { return one.rate == suspect.rate; });
        const bool together = comb != findings.combs.end() &&
                              std::all_of(heard.begin(), heard.end(), [](const auto* tone) { return tone->tone.comb; });
        const std::string title = suspect_title(suspect);
        return title + (title.find(',') == std::string::npos ? " is " : ", is ") +
               probability_word(suspect.probability) + " singing (" + probability_number(suspect.probability) + ")" +
               (together ? ", by " + comb_words(*comb) : "") + ".";
    }
    double sum = 0.0;
    bool same_tones = true;
    for (const match::Suspect* suspect : named) {
        sum += suspect->probability;
        same_tones = same_tones && suspect->tones == named[0]->tones;
    }
    // Each half as likely as not, by the same tones: one of them sings, and these recordings do not say which.
    constexpr double at_most_one = 1.2;
    if (named.size() > 1 && same_tones && sum < at_most_one) {
        std::vector<std::string> rates;
        for (const match::Suspect* suspect : named) rates.push_back(base::printable(suspect->rate));
        std::string either = rates[0];
        for (std::size_t i = 1; i < rates.size(); ++i) either += (i + 1 == rates.size() ? " or " : ", ") + rates[i];
        return either + " is singing, which of them these recordings cannot tell (" +
               probability_number(named[0]->probability) + " each).";
    }
    std::string text = count_word(named.size()) + " rates are singing: ";
    for (std::size_t i = 0; i < named.size(); ++i)
        text += (i == 0                  ? ""
                 : i + 1 == named.size() ? " and "
                                         : ", ") +
                base::printable(named[i]->rate) + ", " + chance(*named[i]);
    return text + ".";
}

// A line of the room varies from place to place by a standard deviation of 5.6 dB (far from its source, a field of many
// modes: Schroeder), two of them by 8 dB.
constexpr double clearly_absent_db = 10.0;

/// What makes that which is heard best, where it is nothing that may be the board's: its lines together are well over
/// `loudest`. Empty: nothing.
std::string heard_over(const match::Findings& findings, const tones::UnitTone* loudest) {
    constexpr double well_over_db = 3.0, likely = 0.5;
    const std::vector<const tones::UnitTone*> others = tones_of(findings, false);
    double best_db = loudest != nullptr ? audible_db(loudest->tone) + well_over_db : 0.0;
    std::string best;
    for (const match::Rival& rival : findings.rivals) {
        if (rival.probability < likely) continue;
        double sum = 0.0;
        for (const tones::UnitTone* tone : others)
            if (std::count(rival.tones.begin(), rival.tones.end(), tone->id) > 0 && !hardly_audible(tone->tone))
                sum += std::pow(10.0, 0.1 * audible_db(tone->tone));
        if (sum <= 0.0 || 10.0 * std::log10(sum) < best_db) continue;
        best_db = 10.0 * std::log10(sum);
        best = base::printable(rival.words);
    }
    return best;
}

// Of named suspects the tones that they explain, else those that were found beside what may be noise.
std::vector<const tones::UnitTone*> tones_heard(const match::Findings& findings) {
    auto tones = tones_of(findings, true);
    const bool named = findings.verdict == match::Verdict::named;
    std::erase_if(tones, [&](const tones::UnitTone* tone) {
        if (!named) return tone->tone.faint;
        return std::none_of(findings.suspects.begin(), findings.suspects.end(), [&](const match::Suspect& suspect) {
            return suspect.probability >= 0.5 &&
                   std::find(suspect.tones.begin(), suspect.tones.end(), tone->id) != suspect.tones.end();
        });
    });
    return tones;
}

std::string suspect_words(const match::Suspect& suspect) {
    return base::printable(suspect.rate) + " " + probability_word(suspect.probability) + " (" +
           probability_number(suspect.probability) + ")";
}

/// Where the clearest of the tones is one of its lines.
std::string periodic_sentence(const match::Findings& findings, const match::UndeclaredComb& comb,
                              const std::vector<const tones::UnitTone*>& board, const std::string& whose) {
    const auto beside = std::count_if(board.begin(), board.end(), [&](const tones::UnitTone* tone) {
        return std::find(comb.tones.begin(), comb.tones.end(), tone->id) == comb.tones.end();
    });
    std::string text = "Something periodic at " + fundamental_words(findings, comb) + whose +
                       " was found, one source of " + std::to_string(comb.lines) + " lines";
    if (beside > 0) text += ", and " + std::to_string(beside) + (beside == 1 ? " tone beside it" : " tones beside it");
    if (findings.board.empty()) return text + "; without a board sheet nobody is suspected.";
    if (!findings.suspects.empty() && findings.suspects[0].probability >= 0.1)
        return text + "; no declared rate explains it well; " + suspect_words(findings.suspects[0]) + ".";
    return text + "; none of the declared rates explains " + (beside > 0 ? "them." : "it.");
}

}  // namespace

bool shown_to_be_of_board(const match::Findings& findings, const tones::UnitTone& tone) {
    if (tone.driven) return true;
    struct Takes {
        int with = 0, without = 0;
    };
    std::map<std::string, Takes> by_state;
    double loudest = -std::numeric_limits<double>::infinity();
    for (const tones::HeardIn& in : tone.heard_in) {
        Takes& takes = by_state[findings.unit.takes[static_cast<std::size_t>(in.take)].state];
        ++(in.heard ? takes.with : takes.without);
        if (in.heard) loudest = std::max(loudest, in.level_dbfs);
    }
    bool always = false, with = false, without = false;
    for (const auto& [state, takes] : by_state) {
        // What comes once may come by itself.
        const bool there = takes.without == 0 && (takes.with > 1 || tone.heard_in.size() == 1);
        always = always || there;
        if (state.empty()) continue;
        with = with || there;
        without = without || takes.with == 0;
    }
    if (with && without) return true;
    static const match::MatchParameters parameters = match::fitted_parameters();
    if (always && tone.far_fall && match::far_says(*tone.far_fall, parameters) == match::FarSays::board) return true;
    return always && tone.room_below_dbfs && loudest > *tone.room_below_dbfs + clearly_absent_db;
}

std::string board_tones_heading(const match::Findings& findings) {
    const auto board = tones_of(findings, true);
    const bool shown = findings.verdict == match::Verdict::named ||
                       std::any_of(board.begin(), board.end(),
                                   [&](const tones::UnitTone* tone) { return shown_to_be_of_board(findings, *tone); });
    return shown ? "Tones of the board" : "Tones that may be the board's";
}

std::string answer_sentence(const match::Findings& findings) {
    auto board = tones_of(findings, true);
    if (findings.verdict == match::Verdict::named && !findings.suspects.empty()) return named_sentence(findings);
    const tones::UnitTone* loudest = strongest(board);
    if (findings.verdict == match::Verdict::quiet || loudest == nullptr) {
        if (loudest != nullptr && !findings.suspects.empty())
            return "No tone of the board was found for certain; a faint line at " +
                   known_frequency(findings, loudest->tone) + " may be noise, or " +
                   base::printable(findings.suspects[0].rate) + ", " +
                   probability_word(findings.suspects[0].probability) + " (" +
                   probability_number(findings.suspects[0].probability) + ").";
        const auto others = tones_of(findings, false);
        if (others.empty() && every_take_says(findings, "silence:"))
            return "This cannot tell: nothing but silence was recorded.";
        if (others.empty() && every_take_says(findings, "too short:"))
            return "This cannot tell: the recording is too short.";
        if (!findings.undeclared.empty())
            return "No tone of the board was found alone, but something periodic at " +
                   fundamental_words(findings, findings.undeclared[0]) +
                   " that nobody declared stands out: " + std::to_string(findings.undeclared[0].lines) +
                   " lines together.";
        if (others.empty()) return "No tone of the board was found.";
        if (const std::string heard = heard_over(findings, nullptr); !heard.empty())
            return "No tone of the board was found; heard best: " + heard + ".";
        const auto all_are = [&](tones::Origin origin) {
            return std::all_of(others.begin(), others.end(),
                               [&](const tones::UnitTone* tone) { return tone->tone.origin == origin; });
        };
        return "No tone of the board was found; " + std::to_string(others.size()) +
               (others.size() == 1 ? " tone is " : " tones are ") +
               (all_are(tones::Origin::mains)  ? "of the mains."
                : all_are(tones::Origin::room) ? "of the room."
                                               : "from elsewhere or unsure.");
    }
    std::erase_if(board, [](const tones::UnitTone* tone) { return tone->tone.faint; });
    loudest = strongest(board);
    if (loudest == nullptr) return "No tone of the board was found for certain.";
    const bool shown = shown_to_be_of_board(findings, *loudest);
    const std::string whose = shown ? " of the board" : "";
    const std::string over = shown ? "" : heard_over(findings, loudest);
    const auto begun = [&](std::string sentence) {
        if (over.empty()) return sentence;
        sentence[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(sentence[0])));
        return "Heard best: " + over + ". Beside that, " + sentence;
    };
    if (const match::UndeclaredComb* const comb = undeclared_of(findings, loudest->id))
        return begun(periodic_sentence(findings, *comb, board, whose));
    const std::size_t found = board.size();
    std::erase_if(board, [&](const tones::UnitTone* tone) { return undeclared_of(findings, tone->id) != nullptr; });
    std::string text =
        begun(count_word(board.size()) + (board.size() == 1 ? " tone" + whose + " was found, at "
                                                            : " tones" + whose + " were found, the clearest at "));
    text += known_frequency(findings, loudest->tone);
    if (board.size() < found)
        text += ", and something periodic at " + fundamental_words(findings, findings.undeclared[0]) +
                ", one source of " + std::to_string(findings.undeclared[0].lines) + " lines";
    if (findings.board.empty()) return text + "; without a board sheet nobody is suspected.";
    if (findings.suspects.empty() || findings.suspects[0].probability < 0.1)
        return text + (board.size() < found ? "; none" : ", and none") + " of the declared rates explains " +
               (found == 1 ? "it." : "them.");
    return text + ", and no declared rate explains it well; " + suspect_words(findings.suspects[0]) + ".";
}

std::string heard_sentence(const match::Findings& findings, bool ages) {
    if (findings.verdict == match::Verdict::quiet) return {};
    const auto tones = tones_heard(findings);
    const tones::UnitTone* best = strongest(tones);
    if (best == nullptr) return {};
    const std::string loudness = loudness_words(best->tone) + " where the microphone was.";
    std::string text;
    if (findings.verdict == match::Verdict::named)
        text = (tones.size() == 1 ? "Heard at " : "Heard best at ") + known_frequency(findings, best->tone) + "; " +
               loudness;
    else
        text = (tones.size() == 1 ? "It is " : "The clearest is ") + loudness;
    const std::string older = ages && !hardly_audible(best->tone) ? age_sentence(best->tone.hz) : "";
    return text + (older.empty() ? "" : " " + older);
}

std::string answer_line(const match::Findings& findings) {
    const std::string heard = heard_sentence(findings);
    return answer_sentence(findings) + (heard.empty() ? "" : " " + heard);
}

std::string minute_of(const std::string& utc) {
    if (utc.size() < 16) return utc;
    return utc.substr(0, 10) + " " + utc.substr(11, 5);
}

}  // namespace tattletone::report
