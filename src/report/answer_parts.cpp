#include "report/answer_parts.h"

#include <algorithm>
#include <set>

#include "base/text/number.h"
#include "match/explain/wording.h"
#include "report/audible.h"
#include "report/text/columns.h"
#include "report/text/undeclared.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr double told_from = 0.1, least_rival = 0.05;  // probabilities
constexpr std::size_t most_cases = 3;
constexpr double wide_band_hz = 15000.0;  // what ends below has lost lines that people hear

bool named(const match::Findings& findings) {
    return findings.verdict == match::Verdict::named && !findings.suspects.empty();
}

bool has_case(const match::Findings& findings, std::size_t index) {
    return index < most_cases && findings.suspects[index].probability >= told_from;
}

std::vector<SuspectCase> cases_of(const match::Findings& findings) {
    std::vector<SuspectCase> cases;
    for (std::size_t i = 0; i < findings.suspects.size() && has_case(findings, i); ++i) {
        const match::Suspect& suspect = findings.suspects[i];
        SuspectCase told;
        told.title = suspect_title(suspect) + ": " + probability_word(suspect.probability) + ", " +
                     probability_number(suspect.probability);
        told.probability = suspect.probability;
        for (const std::string& reason : reasons_of(suspect, false)) told.speaks_for.push_back(base::printable(reason));
        for (const std::string& reason : reasons_of(suspect, true))
            told.speaks_against.push_back(base::printable(reason));
        cases.push_back(std::move(told));
    }
    if (cases.size() == 1 && named(findings)) cases[0].title.clear();
    return cases;
}

std::string other_rates(const match::Findings& findings, std::size_t cases) {
    if (findings.board.empty()) return {};
    std::vector<std::string> rates;
    for (std::size_t i = cases; i < findings.suspects.size() && rates.size() < 5; ++i)
        rates.push_back(base::printable(findings.suspects[i].rate) + " " +
                        probability_number(findings.suspects[i].probability));
    if (const std::size_t told = cases + rates.size(); findings.suspects.size() > told)
        rates.push_back(std::to_string(findings.suspects.size() - told) + " more");
    return match::joined(rates);
}

std::vector<std::string> others_of(const match::Findings& findings, const std::vector<SuspectCase>& cases) {
    std::vector<std::string> others;
    if (const std::string rates = other_rates(findings, cases.size()); !rates.empty()) others.push_back(rates);
    for (const match::PulsedRate& pulsed : findings.pulses)
        if (std::none_of(findings.suspects.begin(), findings.suspects.end(), [&](const match::Suspect& suspect) {
                return suspect.rate == pulsed.rate && suspect.probability >= told_from;
            }))
            others.push_back(pulse_words(pulsed) + "; no tone tells of it");
    double told = 0.0;
    for (const match::Rival& rival : findings.rivals) {
        if (rival.probability < least_rival) continue;
        others.push_back(base::printable(rival.words) + " (" + probability_number(rival.probability) + ")");
        told = std::max(told, rival.probability);
    }
    if (findings.verdict != match::Verdict::quiet && !findings.board.empty() &&
        findings.undeclared_probability >= least_rival && told < 0.5 * findings.undeclared_probability)
        others.push_back(
            "something that the sheet does not declare: " + probability_word(findings.undeclared_probability) + ", " +
            probability_number(findings.undeclared_probability));
    for (const std::string& outcome : findings.outcomes) {
        const bool told_already = std::any_of(cases.begin(), cases.end(), [&](const SuspectCase& one) {
            const std::string printed = base::printable(outcome);
            return std::count(one.speaks_for.begin(), one.speaks_for.end(), printed) +
                       std::count(one.speaks_against.begin(), one.speaks_against.end(), printed) >
                   0;
        });
        if (!told_already) others.push_back(base::printable(outcome));
    }
    if (others.empty() && !findings.board.empty())
        others.push_back(std::string("no ") + (cases.empty() ? "" : "other ") + "rate of the sheet at 0.01 or more");
    return others;
}

std::vector<std::string> open_of(const match::Findings& findings) {
    std::vector<std::string> open;
    const auto& takes = findings.unit.takes;
    const bool heard = findings.verdict != match::Verdict::quiet;
    const auto& tones = findings.unit.tones;
    const bool shown = std::any_of(tones.begin(), tones.end(),
                                   [&](const tones::UnitTone& tone) { return shown_to_be_of_board(findings, tone); });
    if (heard && !shown && !findings.unit.room_given)
        open.push_back("whether it is the board at all: no recording with the board off");
    const bool said =
        std::any_of(takes.begin(), takes.end(), [](const tones::Take& take) { return !take.state.empty(); });
    if (!findings.states_left.empty() && !said) {
        open.push_back("whether it goes with a state of the board: none is said");
    } else if (!findings.states_left.empty()) {
        std::vector<std::string> left;
        for (const std::string& state : findings.states_left) left.push_back("'" + base::printable(state) + "'");
        open.push_back("what it does in " + match::joined(left) + ": not recorded");
    }
    double band_ends_hz = 0.0;
    for (const tones::Take& take : takes) band_ends_hz = std::max(band_ends_hz, take.found.usable.high_hz);
    if (band_ends_hz > 0.0 && band_ends_hz < wide_band_hz)
        open.push_back("anything above " + base::short_hz(band_ends_hz) + ", where the recording ends");
    return open;
}

std::vector<std::string> careful_of(const match::Findings& findings) {
    std::vector<std::string> careful;
    const auto& takes = findings.unit.takes;
    for (const tones::Take& take : takes)
        for (const std::string& notice : take.found.notices)
            careful.push_back((takes.size() > 1 ? base::printable(take.path) + ": " : "") + base::printable(notice));
    for (const std::string& notice : findings.notices) careful.push_back(base::printable(notice));
    return careful;
}

bool of_a_named(const match::Findings& findings, const tones::UnitTone& tone) {
    return std::any_of(findings.suspects.begin(), findings.suspects.end(), [&](const match::Suspect& suspect) {
        return suspect.probability >= 0.5 &&
               std::find(suspect.tones.begin(), suspect.tones.end(), tone.id) != suspect.tones.end();
    });
}

/// `moves`: its movement is worth telling, as that of the first of a rate's.
std::string role_of(const match::Findings& findings, const tones::UnitTone& tone, bool moves) {
    std::string role = findings.board.empty() ? "" : "none of the declared rates";
    if (const auto found = findings.explained_by.find(tone.id);
        found != findings.explained_by.end() && !found->second.empty() && found->second[0].probability >= told_from) {
        const match::Explanation& best = found->second[0];
        role =
            explanation_words(best) + (best.probability < 0.5 ? " (" + probability_number(best.probability) + ")" : "");
    }
    const auto add = [&](const std::string& words) { role += (role.empty() ? "" : ", ") + words; };
    if (moves && drifts(tone.tone))
        add("moves " + base::significant(tone.tone.start_hz, 4) + " to " + base::significant(tone.tone.end_hz, 4) +
            " Hz");
    if (hardly_audible(tone.tone)) add("hardly audible");
    if (tone.tone.faint) add("faint");
    const auto heard =
        std::count_if(tone.heard_in.begin(), tone.heard_in.end(), [](const tones::HeardIn& in) { return in.heard; });
    const std::size_t takes = findings.unit.takes.size();
    if (takes > 1 && static_cast<std::size_t>(heard) < takes)
        add("in " + std::to_string(heard) + " of " + std::to_string(takes) + " recordings");
    if (const auto spots = findings.spots.find(tone.id); spots != findings.spots.end() && spots->second.counts) {
        const std::string words = spot_words(findings, tone);
        if (!words.empty()) add(words.substr(0, words.rfind(" (")));
    }
    return role;
}

ToneLine row_of(const match::Findings& findings, const match::UndeclaredComb& comb, const tones::UnitTone& best) {
    return {known_frequency(findings, best.tone), base::fixed(best.tone.tone_to_noise_db, 0) + " dB",
            "best of " + std::to_string(comb.lines) + " lines of something periodic at " +
                fundamental_words(findings, comb) + (findings.board.empty() ? "" : ", none of the declared rates") +
                (hardly_audible(best.tone) ? ", hardly audible" : "")};
}

std::vector<ToneLine> tones_told(const match::Findings& findings) {
    auto tones = tones_of(findings, true);
    std::stable_sort(tones.begin(), tones.end(), [&](const tones::UnitTone* a, const tones::UnitTone* b) {
        return of_a_named(findings, *a) && !of_a_named(findings, *b);
    });
    std::vector<ToneLine> lines;
    std::set<std::string> rates;
    const auto rate_of = [&](const tones::UnitTone& tone) {
        const auto found = findings.explained_by.find(tone.id);
        return found == findings.explained_by.end() || found->second.empty() ? "" : found->second[0].rate;
    };
    std::set<const match::UndeclaredComb*> told;
    for (const tones::UnitTone* tone : tones) {
        // The lines of one source are one row, where the best audible of them stands.
        if (const match::UndeclaredComb* const comb = undeclared_of(findings, tone->id)) {
            if (told.insert(comb).second) lines.push_back(row_of(findings, *comb, *tone));
            continue;
        }
        lines.push_back({known_frequency(findings, tone->tone), base::fixed(tone->tone.tone_to_noise_db, 0) + " dB",
                         role_of(findings, *tone, rates.insert(rate_of(*tone)).second)});
    }
    return lines;
}

std::string other_tones_of(const match::Findings& findings) {
    std::size_t mains = 0, room = 0, unsure = 0;
    for (const tones::UnitTone* tone : tones_of(findings, false))
        ++(tone->tone.origin == tones::Origin::mains  ? mains
           : tone->tone.origin == tones::Origin::room ? room
                                                      : unsure);
    std::vector<std::string> words;
    if (mains > 0) words.push_back(std::to_string(mains) + " of the mains");
    if (room > 0) words.push_back(std::to_string(room) + " of the room");
    if (unsure > 0) words.push_back(std::to_string(unsure) + " unlike a board's");
    return match::joined(words);
}

}  // namespace

AnswerParts answer_parts(const match::Findings& findings) {
    AnswerParts parts;
    parts.answer = answer_sentence(findings);
    parts.heard = heard_sentence(findings, true);
    parts.cases = cases_of(findings);
    parts.others = others_of(findings, parts.cases);
    parts.open = open_of(findings);
    parts.careful = careful_of(findings);
    parts.next = next_steps(findings);
    parts.tones = tones_told(findings);
    parts.other_tones = other_tones_of(findings);
    return parts;
}

}  // namespace tattletone::report
