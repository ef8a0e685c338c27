#pragma once

#include "match/findings.h"
#include "support/names.h"

// Findings made by hand: what a report is written from, without any analysis.
namespace sample {

using namespace tattletone;

inline UnitTone tone(int id, double hz, double hz_sd, Origin origin = Origin::board) {
    UnitTone unit;
    unit.id = id;
    unit.tone.hz = hz;
    unit.tone.hz_sd = hz_sd;
    unit.tone.level_dbfs = -61.23;
    unit.tone.tone_to_noise_db = 11.31;
    unit.tone.prominence_db = 10.08;
    if (hz <= 11200.0 && hz >= 89.1) unit.tone.prominent = true;
    unit.tone.present = 0.987;
    unit.tone.start_hz = unit.tone.end_hz = hz;
    unit.tone.origin = origin;
    unit.heard_in = {{0, true, -61.23, 11.31, 0.0}, {1, false, 0.0, 0.0, -84.04}};
    return unit;
}

inline Take take(const std::string& path, const std::string& state) {
    Take result;
    result.path = path;
    result.state = state;
    result.found.origin = path;
    result.found.sample_rate_hz = 48000.0;
    result.found.seconds = 9.8;
    result.found.usable = {40.0, 20000.0};
    for (double hz = 40.0; hz < 20000.0; hz *= 1.1)
        result.found.floor.push_back({hz, -110.0 - 5.0 * hz / 20000.0, -95.0, -85.0});
    return result;
}

inline Findings named() {
    Findings findings;
    findings.board = "Heron C";
    findings.unit.takes = {take("heron ranging.flac", "ranging"), take("heron idle.flac", "idle")};
    findings.unit.takes[1].found.notices = {
        "The level follows the signal: automatic gain is on, so levels of this "
        "recording say little. Switch it off and record again."};
    findings.unit.tones = {tone(1, 50.0, 0.003, Origin::mains), tone(2, 9599.8304, 0.0042), tone(3, 14987.3, 12.4),
                           tone(4, 19199.6608, 0.0113)};
    findings.unit.tones[0].tone.rejection = "one of a family at multiples of 50 Hz";
    findings.unit.tones[2].tone.steady = false;
    findings.unit.tones[2].tone.start_hz = 15630.0;
    findings.unit.tones[2].tone.end_hz = 14211.0;
    findings.suspects = {{"ranger.frame",
                          "Time-of-flight ranger",
                          0.983,
                          {2, 4},
                          {"Two lines agree on one deviation of -17.7 ppm, inside the declared 50 ppm.",
                           "It is there in ranging and gone in idle, as the sheet says."}},
                         {"core-regulator.burst",
                          "Core buck regulator",
                          0.62,
                          {3},
                          {"One line lies between its limits and drifts as a whole."}},
                         {"lamp.dimming", "Lamp", 0.014, {}, {}}};
    findings.explained_by[2] = {{"ranger.frame", LineKind::harmonic, 1, "", 9600.0, -0.1696, 0.97}};
    findings.explained_by[3] = {{"core-regulator.burst", LineKind::harmonic, 2, "", 17888.5438, -2901.2438, 0.61},
                                {"ranger.frame", LineKind::sideband, -2, "lamp.dimming", 14980.1, 7.2, 0.07}};
    findings.explained_by[4] = {{"ranger.frame", LineKind::harmonic, 2, "", 19200.0, -0.3392, 0.98}};
    findings.verdict = Verdict::named;
    findings.undeclared_probability = 0.31;
    findings.notices = {
        "Only the first 64 multiples of a rate are compared: of lamp.dimming (120.00 Hz) up to 7680.0 Hz."};
    findings.card_error_ppm = -14.2;
    findings.card_error_ppm_sd = 18.0;
    return findings;
}

inline Findings quiet() {
    Findings findings;
    findings.board = "Heron C";
    findings.unit.takes = {take("quiet.flac", "")};
    return findings;
}

inline Findings unknown(bool with_sheet) {
    Findings findings;
    if (with_sheet) findings.board = "Heron C";
    findings.unit.takes = {take("whine.flac", "")};
    findings.unit.tones = {tone(1, 3141.59, 0.002)};
    findings.unit.tones[0].heard_in.pop_back();
    findings.verdict = Verdict::unknown;
    return findings;
}

}  // namespace sample
