#include "match/parameters.h"

namespace tattletone {

MatchParameters fitted_parameters() {
    MatchParameters p;
#define TATTLETONE_PARAMETER(name, number) p.name = number;
#include "match/parameters_table.inc"
#undef TATTLETONE_PARAMETER
    return p;
}

}  // namespace tattletone
