#pragma once

#include <optional>
#include <string>
#include <vector>

namespace tattletone::report {

/// Pictures of one line over measurements, or of several lines over units, as SVG with a title for
/// those who cannot see it. Empty where there is nothing to draw.

/// A level, or, where it was not heard, the level above which it would have been.
struct LevelMark {
    std::string label;  ///< a date, a serial number
    bool heard = false, known = true;
    double level_dbfs = 0.0;
};

/// Levels in the order given, evenly spaced, each with its label.
std::string history_svg(const std::string& title, const std::vector<LevelMark>& marks);

/// Two sides next to each other. With `paired` the same index is the same unit, and a line joins them.
std::string sides_svg(const std::string& title, const std::string& name_a, const std::string& name_b,
                      const std::vector<LevelMark>& a, const std::vector<LevelMark>& b, bool paired);

/// A share of units with its interval, 0 to 1.
struct ShareBar {
    std::string label;
    double share = 0.0, low = 0.0, high = 0.0;
};
std::string shares_svg(const std::string& title, const std::vector<ShareBar>& bars);

}  // namespace tattletone::report
