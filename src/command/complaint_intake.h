#pragma once

#include <string>

#include "command/arguments/logbook_file.h"
#include "logbook/complaints/complaints.h"
#include "report/confirmed.h"

namespace tattletone::command {

/// What goes with every clip that is taken in.
struct Intake {
    std::string text, unit_id, triage;
    const session::ReadSheet* board = nullptr;
    bool keep_clip = true;
};

/// Examines a clip, sorts the complaint and stores it. Errors: the clip cannot be read, or not now (`may_pass`); the
/// logbook cannot be read or written, which `storing_failed` tells.
Result<logbook::Complaint> take_in(logbook::Logbook& logbook, const std::string& path, const Intake& intake,
                                   bool& storing_failed);

/// SHA-256 of a file's bytes. Error: it cannot be read, or not to its end; that may pass.
Result<std::string> hash_of_file(const std::string& path);

int triage(const Arguments& arguments);

}  // namespace tattletone::command
