#pragma once

#include <vector>

#include "match/comb/comb.h"
#include "match/model/observations.h"
#include "match/model/source.h"

namespace tattletone::match {

/// Whether any take holds the spectrum that this needs.
bool may_show_combs(const tones::UnitTones& unit);

/// Combs of declared rates that stand out together from the noise of the takes, and those that the mains or something
/// undeclared would have to explain them otherwise (MODEL.md 26). Lines that are tones of `unit` speak for none of
/// them, but for those of slow rates, whose lines stand too close to be told one by one.
std::vector<Comb> find_combs(const Observations& observations, const tones::UnitTones& unit,
                             const std::vector<Source>& sources);

/// The unit with the combs' lines as tones that count only together, numbered anew.
tones::UnitTones with_comb_lines(tones::UnitTones unit, const std::vector<Comb>& combs);

/// Sets which of the observations' tones are the combs' lines; those that are none count without being told.
void attach(Observations& observations, std::vector<Comb> combs);

}  // namespace tattletone::match
