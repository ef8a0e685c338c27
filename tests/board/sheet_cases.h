#pragma once

#include <catch2/catch.hpp>

#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "support/names.h"

namespace tattletone::sheet_cases {

inline const std::string heron = R"([board]
name = "Heron"
revision = "C"
states = ["idle", "ranging", "screen-on"]

[[rail]]
id = "3V0"
regulator = "charge-pump"
v_in = 5.0
v_out = 3.0
max_current_ma = 300
max_dissipation_mw = 400
ambient_c = 35
output_capacitance_uf = 4.7
esr_mohm = 5
dropout_v = 0.2
quiescent_ma = 0.05
v_in_min = 4.75
path_mohm = 300
efficiency_percent = 88
t_j_max_c = 125
theta_ja_c_per_w = 62

[[rail]]
id = "1V2"
fed_by = "3V0"
v_out = 1.2

[[part]]
id = "ranger"
name = "Time-of-flight ranger"
rail = "3V0"
typical_ma = 60
peak_ma = 145
idle_ma = 2
spot = "by the lens"

  [[part.rate]]
  id = "frame"
  hz = 9600
  tolerance_ppm = 50
  shape = "pulse"
  active_in = ["ranging"]
  adjustable = true
  adjust_min_hz = 8000
  adjust_max_hz = 11000
  burst_us = 20

[[part]]
id = "core-regulator"

  [[part.rate]]
  id = "burst"
  hz_min = 2000
  hz_max = 40000.5
  shape = "sine"

  [[part.rate]]
  id = "clock"
  hz = 5e5
  tolerance_percent = 3

  [[part.rate]]
  id = "tick"
  hz = 1000

[[part]]
id = "lamp"
)";

inline std::string told(const SheetReading& reading) {
    std::string text;
    for (const SheetError& error : reading.errors) text += to_sentence(to_error(error)) + '\n';
    return text;
}

// The one error of a sheet that is fine but for `line` under a rate.
inline SheetError error_of_rate(const std::string& lines) {
    const std::string text =
        "[board]\nname = \"B\"\nstates = [\"on\", \"off\"]\n[[part]]\nid = \"p\"\n"
        "[[part.rate]]\nid = \"r\"\n" +
        lines + "\n";
    const SheetReading reading = parse_sheet(text, "s.toml");
    INFO(told(reading));
    REQUIRE(reading.errors.size() == 1);
    CHECK_FALSE(reading.sheet);
    CHECK_FALSE(reading.errors[0].todo.empty());
    return reading.errors[0];
}

struct Expected {
    int line, column;
    const char* what;
};

inline void check_errors(const std::string& text, const std::vector<Expected>& expected) {
    const SheetReading reading = parse_sheet(text, "s.toml");
    INFO(told(reading));
    CHECK_FALSE(reading.sheet);
    REQUIRE(reading.errors.size() == expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i) {
        INFO(to_sentence(to_error(reading.errors[i])));
        CHECK(reading.errors[i].line == expected[i].line);
        CHECK(reading.errors[i].column == expected[i].column);
        CHECK_THAT(reading.errors[i].what, Catch::Matchers::Contains(expected[i].what));
    }
}

}  // namespace tattletone::sheet_cases
