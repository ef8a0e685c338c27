#pragma once

#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/findings.h"
#include "match/model/parameters.h"
#include "tones/join/unit_tones.h"

namespace tattletone::match {

class CardGrid;

/// Recordings that fit better if they hold another sample rate than their headers say: every frequency is off by
/// held/said. MODEL.md 25.
struct Misread {
    double said_hz = 0.0, held_hz = 0.0;
    double probability = 0.0;
    double mains_hz = 0.0;           ///< of the grid that is heard then; 0: none
    std::vector<int> mains_tones;    ///< ids of its multiples
    std::vector<std::string> rates;  ///< declared rates that sing then, within their tolerance
    std::string sentence() const;    ///< a possibility that asks for a check
};

/// Nothing where that is less likely than not, and where takes differ in what their headers say. Without a sheet (null)
/// only the mains can tell.
std::optional<Misread> misread_rate(const board::BoardSheet* sheet, const tones::UnitTones& unit,
                                    const MatchParameters& parameters, const CardGrid& grid);

/// Tells it as a notice; what would be the hum then is not the board's.
void tell_misread(const board::BoardSheet* sheet, const MatchParameters& parameters, const CardGrid& grid,
                  Findings& findings);

/// "44.1 kHz", where a rate's relative deviation is that of a header that says 48 kHz; empty where it is none's.
std::string held_if_off_by(double said_hz, double deviation, double sd);

}  // namespace tattletone::match
