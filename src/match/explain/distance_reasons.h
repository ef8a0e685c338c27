#pragma once

#include <functional>
#include <string>

#include "match/model/observations.h"
#include "match/search/assignment.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

/// What the far take, and how a moving line's level swings, say of where a suspect's lines come from: sentences for it
/// or against it, none where they tell nothing.
void tell_distance(const Observations& observations, const tones::UnitTones& unit, const Assignment& best,
                   const std::function<void(std::string sentence, bool against)>& say);

}  // namespace tattletone::match
