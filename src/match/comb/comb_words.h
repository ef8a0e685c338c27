#pragma once

#include <string>
#include <vector>

#include "match/findings.h"
#include "match/model/source.h"
#include "match/search/joint_posterior.h"

namespace tattletone::match {

/// The comb by which a source most likely sings, if it does by one.
const Comb* comb_of(const Source& source, const SourcePosterior& found);

/// What is told of its lines in the take where it stands out best.
void set_lines(const Comb& comb, const tones::Tones& take, CombFigures& told);

FoundComb found_comb(const Comb& comb, const SourcePosterior& found, const board::BoardSheet& sheet,
                     const tones::UnitTones& unit);

/// '40 multiples between 120 Hz and 4.8 kHz stand out together, each …': a comb as a reason.
std::string comb_words(const FoundComb& comb, const SourcePosterior& found, const Source& source);

/// Tells the combs, and which tones of theirs were found alone: lines of a slow rate are taken for a cluster's.
void tell_combs(const Observations& observations, const std::vector<Source>& sources, const JointPosterior& outcome,
                Findings& findings);

}  // namespace tattletone::match
