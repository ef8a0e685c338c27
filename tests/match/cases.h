#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "board/sheet/sheet.h"
#include "match/diagnose.h"
#include "support/names.h"
#include "tones/join/unit_tones.h"

namespace tattletone::cases {

inline Part part(const std::string& id, const std::string& name, const std::string& spot = "") {
    Part part;
    part.id = id;
    part.name = name;
    part.spot = spot;
    return part;
}

/// Small boards and tones, written down by hand.
class Board {
  public:
    Board() {
        sheet_.name = "Test";
        sheet_.parts.push_back(part("part", "Part"));
    }
    Board& states(std::vector<std::string> names) {
        sheet_.states = std::move(names);
        return *this;
    }
    Board& rate(const std::string& name, double hz, double ppm, Shape shape = Shape::pulse,
                std::vector<int> active_in = {}) {
        Rate rate;
        rate.id = rate.full_name = name;
        rate.hz = hz;
        rate.tolerance_ppm = ppm;
        rate.shape = shape;
        rate.active_in = std::move(active_in);
        sheet_.rates.push_back(rate);
        return *this;
    }
    Board& wandering(const std::string& name, double low, double high) {
        Rate rate;
        rate.id = rate.full_name = name;
        rate.hz_min = low;
        rate.hz_max = high;
        sheet_.rates.push_back(rate);
        return *this;
    }
    const BoardSheet& sheet() const { return sheet_; }

  private:
    BoardSheet sheet_;
};

inline constexpr double threshold_dbfs = -90.0;

inline Tone tone(double hz, double over_db = 12.0, Origin origin = Origin::board, double sd_hz = 0.004) {
    Tone tone;
    tone.hz = tone.start_hz = tone.end_hz = hz;
    tone.hz_sd = sd_hz;
    tone.level_dbfs = threshold_dbfs + over_db;
    tone.origin = origin;
    return tone;
}

/// A tone that drifts evenly by `drift` (relative), from its start to its end.
inline Tone moving(double hz, double drift, double over_db = 12.0) {
    Tone path = tone(hz, over_db, Origin::board, 1e-4 * hz);
    path.steady = false;
    path.start_hz = hz * (1.0 - 0.5 * drift);
    path.end_hz = hz * (1.0 + 0.5 * drift);
    path.wander_hz = std::abs(drift) * hz / std::sqrt(12.0);
    return path;
}

inline Take take(std::vector<Tone> tones, const std::string& state = "", Band usable = {40.0, 20000.0}) {
    std::sort(tones.begin(), tones.end(), [](const Tone& a, const Tone& b) { return a.hz < b.hz; });
    Take take;
    take.state = state;
    take.found.sample_rate_hz = 48000.0;
    take.found.seconds = 10.0;
    take.found.usable = usable;
    take.found.floor = {{usable.low_hz, -115.0, threshold_dbfs, threshold_dbfs + 4.0},
                        {usable.high_hz, -115.0, threshold_dbfs, threshold_dbfs + 4.0}};
    take.found.tones = std::move(tones);
    return take;
}

inline UnitTones one_take(std::vector<Tone> tones) {
    return unite({take(std::move(tones))}, nullptr);
}

inline double probability(const Findings& findings, const std::string& rate) {
    for (const Suspect& suspect : findings.suspects)
        if (suspect.rate == rate) return suspect.probability;
    return 0.0;
}

inline std::string reasons(const Findings& findings, const std::string& rate) {
    std::string text;
    for (const Suspect& suspect : findings.suspects)
        if (suspect.rate == rate)
            for (const std::string& reason : suspect.reasons) text += reason + "\n";
    return text;
}

}  // namespace tattletone::cases
