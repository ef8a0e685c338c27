#pragma once

#include <optional>
#include <string>

namespace tattletone::session {

/// What the user says of a measurement that is to go into the logbook.
struct StoreOptions {
    std::string serial;
    bool new_unit = false;        ///< add it first, with the open sheet
    std::string batch, firmware;  ///< of a new unit; a known one's firmware if it changed
    std::string microphone, note, label;
    std::optional<double> distance_cm;
    bool keep_clips = true;
    bool clear = false;  ///< then let the takes go from the session; the room stays
};

}  // namespace tattletone::session
