#pragma once

#include <string>
#include <vector>

#include "command/arguments/options.h"
#include "report/hearing.h"

namespace tattletone::command {

/// --hearing and --calibration, as typed.
struct HearingOptions {
    std::vector<std::string> listeners;
    std::string calibration;
};

void declare_hearing(Options& options, HearingOptions& typed);

/// Reads a calibrator's recording where one is given. Nothing when an error was told; `status` is then what to return.
std::optional<report::HearingOptions> read_hearing(const Options& options, const HearingOptions& typed, int& status);

}  // namespace tattletone::command
