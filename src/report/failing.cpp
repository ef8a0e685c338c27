#include "report/failing.h"

#include <algorithm>

#include "base/text/number.h"
#include "report/words.h"

namespace tattletone::report {

bool of_board_by_evidence(const match::Findings& findings, const tones::UnitTone& tone, double explained_from) {
    if (tone.tone.origin != tones::Origin::board) return false;
    double explained = 0.0;
    if (const auto found = findings.explained_by.find(tone.id); found != findings.explained_by.end())
        for (const match::Explanation& explanation : found->second) explained += explanation.probability;
    return explained >= explained_from || shown_to_be_of_board(findings, tone);
}

UnitVerdict unit_verdict(const match::Findings& findings, double explained_from) {
    UnitVerdict verdict;
    const tones::UnitTone* loudest = nullptr;
    std::size_t doubted = 0;
    for (const tones::UnitTone* tone : tones_of(findings, true)) {
        if (!tone->tone.prominent.value_or(false)) continue;
        if (of_board_by_evidence(findings, *tone, explained_from)) return {true, {}};
        ++doubted;
        if (loudest == nullptr) loudest = tone;
    }
    if (loudest == nullptr) return verdict;
    verdict.doubted = "The unit was not failed: the prominent tone at " + base::short_hz(loudest->tone.hz) +
                      (doubted > 1 ? " and " + std::to_string(doubted - 1) + " more are" : " is") +
                      " not known to be the board's, for no declared rate surely explains " +
                      (doubted > 1 ? "them" : "it") + " and no recording shows whose " +
                      (doubted > 1 ? "they are" : "it is") + "; ";
    // With a room that cannot decide, the states can: a neighbour does not follow them.
    verdict.doubted +=
        findings.unit.room_given
            ? "the room recording given does not decide it, so record the room anew, for as long, at the "
              "same spot and gain with the board off, and give it with --room FILE; or from 60 cm, with --far FILE."
            : "record the room with the board off and give it with --room FILE, which decides it.";
    return verdict;
}

}  // namespace tattletone::report
