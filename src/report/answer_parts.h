#pragma once

#include <string>
#include <vector>

#include "match/findings.h"
#include "report/next_steps.h"

namespace tattletone::report {

/// What speaks for a suspect and against it, the weightiest first.
struct SuspectCase {
    std::string title;  ///< "lamp.dimming, Reading lamp: possibly, 0.31"; empty where the answer names it alone
    double probability = 0.0;
    std::vector<std::string> speaks_for, speaks_against;
};

/// A tone for somebody who looks for it in a spectrum.
struct ToneLine {
    std::string frequency;   ///< "6400.08 Hz", to the digits that are known
    std::string over_noise;  ///< "14 dB"; from its critical band
    std::string role;        ///< "2nd harmonic of sounder.frame; hardly audible"
};

/// The answer as it is told in the terminal, at the head of a page and on the window's card: the same words in the same
/// order, which is that of the members. Each sentence stands for itself; whoever shows them chooses how many.
struct AnswerParts {
    std::string answer;  ///< one sentence
    std::string heard;   ///< what a person hears; empty where there is nothing
    std::vector<SuspectCase> cases;
    std::vector<std::string> others;   ///< who or what else it may be
    std::vector<std::string> open;     ///< what these recordings cannot tell
    std::vector<std::string> careful;  ///< what spoils them
    std::vector<NextStep> next;
    std::vector<ToneLine> tones;  ///< that may be the board's: those of named suspects first, the best audible first
    std::string other_tones;      ///< "10 of the mains and 3 of the room"; empty: none
};
AnswerParts answer_parts(const match::Findings& findings);

}  // namespace tattletone::report
