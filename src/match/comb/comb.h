#pragma once

#include <vector>

namespace tattletone::match {

/// One line of a comb that speaks for it.
struct CombLine {
    int order = 1;
    double hz = 0.0, hz_sd = 0.0;
    double level_dbfs = 0.0;
    double gain = 0.0;  ///< ln of what it multiplies the odds by
    int tone = -1;      ///< index into Observations::tones; -1: it is none of them
};

/// Many faint lines of one source that stand out together, MODEL.md 26.
struct Comb {
    int rate = -1;             ///< of the sheet; -1: nobody declared it
    double mains_hz = 0.0;     ///< of the mains, where it is theirs
    int take = 0;              ///< of which its lines are told
    double x = 0.0, sd = 0.0;  ///< place of the source, as in LineMatch
    double base = 0.0;         ///< ln odds without its lines' gains
    std::vector<CombLine> lines;
    double low_hz = 0.0, high_hz = 0.0;  ///< of the lines counted
    int counted = 0;                     ///< lines within the part of the band in which it stands out
    double mean_snr = 0.0;               ///< their mean power over the noise of a bin
    double log_ratio = 0.0;              ///< ln of the likelihood ratio at its maximum: base, gains and width
    double log_odds() const {
        double sum = base;
        for (const CombLine& line : lines) sum += line.gain;
        return sum;
    }
};

}  // namespace tattletone::match
