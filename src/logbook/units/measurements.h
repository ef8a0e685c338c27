#pragma once

#include <optional>
#include <string>
#include <vector>

#include "logbook/storage/clip_store.h"
#include "logbook/units/units.h"
#include "match/findings.h"

namespace tattletone::logbook {

/// What the person at the bench says about a measurement.
struct Circumstances {
    std::string measured_by, firmware, microphone, note, label;
    std::optional<double> distance_cm;
};

/// What the program found, with the words in which it was printed.
struct PrintedFindings {
    const match::Findings* findings = nullptr;
    std::string json, answer, verdict;
};

/// What a recording is to a measurement: a take; the room, the board being off; its state from 60 cm.
enum class TakeRole { take, room, far };

/// One recording of a measurement to store.
struct TakeToStore {
    std::string path;  ///< of the clip; read again for the copy
    TakeRole role = TakeRole::take;
    const tones::Tones* found = nullptr;
};

/// A stored measurement. `findings_json` only from `find_measurement`.
struct Measurement {
    long long number = 0;
    std::string id, unit, sheet, measured_at, verdict, answer, findings_json;
    Circumstances circumstances;
    struct KeptTake {
        std::string path, state, spot, clip;
        TakeRole role = TakeRole::take;
        std::vector<tones::FloorPoint> floor;
    };
    std::vector<KeptTake> takes;
};

/// Stores everything or nothing: the recordings first (kept once by content; none with `keep_clips`
/// false), then one transaction with every row. The new measurement's id.
Result<std::string> store_measurement(Logbook& logbook, const Unit& unit, const KeptSheet* sheet,
                                      const PrintedFindings& printed, const Circumstances& circumstances,
                                      const std::vector<TakeToStore>& takes, bool keep_clips);

/// Of a unit, the newest first.
Result<std::vector<Measurement>> list_measurements(Logbook& logbook, const std::string& unit_id);
Result<Measurement> find_measurement(Logbook& logbook, long long number);

/// How the level of one line went over the measurements of a unit, the oldest first.
struct LevelPoint {
    std::string measured_at, label;
    bool heard = false;
    double hz = 0.0, level_dbfs = 0.0;  ///< where not heard: the level above which it would have been
    bool known = true;                  ///< false: outside the usable band of that measurement
};
Result<std::vector<LevelPoint>> level_history(Logbook& logbook, const std::string& unit_id, double hz,
                                              double tolerance_hz);

}  // namespace tattletone::logbook
