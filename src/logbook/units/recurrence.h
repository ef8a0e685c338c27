#pragma once

#include <string>
#include <vector>

#include "logbook/units/statistics.h"
#include "logbook/units/units.h"

namespace tattletone::logbook {

/// One board tone of one unit's newest measurement.
struct HeardTone {
    std::size_t unit = 0;  ///< index into the units asked for
    double hz = 0.0, hz_sd = 0.0, level_dbfs = 0.0;
    std::string rate, kind, other;  ///< its likeliest explanation, where that is 0.5 or more
    int line = 0;
};

enum class Recurs { in_design, in_assembly, between };

/// Tones of several units that are the same line: of one relation to one rate, or, where no rate
/// explains them, of one frequency within what their uncertainties and clocks (200 ppm) allow.
struct RecurringTone {
    std::string rate, kind, other;  ///< empty: none of the declared rates
    int line = 0;
    double hz = 0.0, low_hz = 0.0, high_hz = 0.0;
    std::vector<std::size_t> units;   ///< ascending, each once
    std::vector<double> levels_dbfs;  ///< of these units, in that order
    Interval share;                   ///< Wilson, 95 %, of the units measured
    double level_sd_db = 0.0;
    std::vector<std::size_t> stand_out;  ///< units whose level is far from the others' (see below)
    Recurs recurs = Recurs::between;
};

/// 'design': the Wilson interval lies above one half and at least nine in ten units have it;
/// 'assembly': it lies below one half. Fewer than three units measured: between. A unit stands out
/// with five or more units and a level more than 3.5 robust standard deviations (1.4826 times the
/// median deviation, at least 1 dB) from the median. The most widespread first.
std::vector<RecurringTone> recurring_tones(std::vector<HeardTone> tones, int units_measured);

struct BatchView {
    std::vector<Unit> units;  ///< in use, by serial
    int measured = 0;
    std::vector<RecurringTone> tones;
};
Result<BatchView> view_batch(Logbook& logbook, const UnitFilter& filter);

}  // namespace tattletone::logbook
