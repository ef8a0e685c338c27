#pragma once

#include <string>
#include <vector>

#include "board/lines.h"

namespace tattletone::match {

std::string ordinal(int n);    ///< 1st, 2nd, 3rd, 11th
std::string as_hz(double hz);  ///< 976.56 Hz, 9600.0 Hz, 15734 Hz
/// -38 ppm, +2.1 %: in ppm below 0.1 %. `signs`: with + or -.
std::string as_relative(double relative, bool signs);
std::string joined(const std::vector<std::string>& words);  ///< a, b and c
/// "the 3rd harmonic", "half the rate", "the upper sideband of the 1st harmonic by bus.frame" …
std::string line_words(board::LineKind kind, int order, int carrier, const std::string& other);

}  // namespace tattletone::match
