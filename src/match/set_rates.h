#pragma once

#include "match/model/observations.h"

namespace tattletone::match {

/// Where a rate was set to another value than the sheet's, its lines in those takes tell what it really was: dividers
/// are whole numbers, and all lines share the rest. Corrects the settings' rates and says how sure they are
/// (MODEL.md 3.1).
void measure_set_rates(Observations& observations);

}  // namespace tattletone::match
