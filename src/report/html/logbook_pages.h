#pragma once

#include <string>

#include "base/result.h"
#include "logbook/logbook.h"

namespace tattletone::report {

/// Pages of the logbook for posting: the answer first, picture, history, tables, conditions, cautions
/// and what the method cannot tell. Folders of files and the words of testers' names stay out of them.
/// Errors: there is no such record, nothing was measured.
Result<std::string> unit_page(logbook::Logbook& logbook, const std::string& serial);
Result<std::string> batch_page(logbook::Logbook& logbook, const std::string& batch);
Result<std::string> complaint_page(logbook::Logbook& logbook, const std::string& id);
Result<std::string> comparison_page(logbook::Logbook& logbook, const std::string& a, const std::string& b,
                                    const std::string& rate, double hz);

}  // namespace tattletone::report
