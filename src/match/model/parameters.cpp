#include "match/model/parameters.h"

namespace tattletone::match {

MatchParameters fitted_parameters() {
    MatchParameters p;
#define TATTLETONE_PARAMETER(name, number) p.name = number;
#include "match/model/parameters_table.inc"
#undef TATTLETONE_PARAMETER
    return p;
}
}  // namespace tattletone::match
