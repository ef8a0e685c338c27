#pragma once

#include <string>
#include <vector>

#include "report/trace_report.h"

namespace tattletone::report {

std::string short_seconds(double seconds);  ///< "12.5 µs"
std::string in_unit(double value, const std::string& unit, double resolution);
std::string rate_words(const TraceColumnReport& column,
                       double clock_ppm);  ///< "9600.3 ± 0.5 Hz", clock included
std::string trace_answer(const TraceReport& report);
std::vector<std::string> column_sentences(const TraceColumnReport& column, const TraceReport& report);
std::string cause_sentence(const match::TraceCause& cause, double sd_hz);  ///< sd_hz: of the trace's rate
double rate_sd_hz(const TraceColumnReport& column, double clock_ppm);      ///< clock included
std::vector<std::string> trace_advice(const TraceReport& report);

}  // namespace tattletone::report
