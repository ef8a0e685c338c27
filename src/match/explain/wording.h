#pragma once

#include <string>
#include <vector>

#include "board/lines.h"

namespace tattletone::match {

std::string ordinal(int n);          ///< 1st, 2nd, 3rd, 11th
std::string as_hz(double hz);        ///< 976.56 Hz, 9600.0 Hz, 15734 Hz
std::string as_declared(double hz);  ///< every digit that a sheet is likely to have: 976.5625 Hz, 2500 Hz
/// -38 ppm, +2.1 %: in ppm below 0.1 %. `signs`: with + or -.
std::string as_relative(double relative, bool signs);
std::string joined(const std::vector<std::string>& words);  ///< a, b and c

/// What the texts of `board::line_kinds` can tell of a line.
struct LineName {
    int order = 1;
    int carrier = 0;  ///< order of the harmonic that a sideband stands beside
    std::string rate, other;
};
/// `text` with these in place of what stands there in braces: {n} the order, {nth} "2nd", {+n} "-2" or "+2", {sign}
/// "-", {size} "2"; {side} "upper" or "lower 2nd"; {carrier} and {carrier-th}; {rate} and {other}.
std::string line_text(const board::LineText& text, const LineName& line);

}  // namespace tattletone::match
