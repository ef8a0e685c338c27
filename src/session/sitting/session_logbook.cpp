#include <algorithm>
#include <filesystem>

#include "base/files/paths.h"
#include "logbook/units/measurements.h"
#include "match/json/findings_json.h"
#include "report/confirmed.h"
#include "report/toggle_report.h"
#include "report/words.h"
#include "session/sitting/kept_board.h"
#include "session/sitting/once.h"
#include "session/sitting/session.h"
#include "session/sitting/toggled.h"

namespace tattletone::session {
namespace {

namespace fs = std::filesystem;

Error no_logbook() {
    return {"logbook", "this system does not say where your data belong", "Start the window with --logbook FILE"};
}

logbook::TakeRole role_of(const SessionRecording& recording) {
    return recording.room ? logbook::TakeRole::room : recording.far ? logbook::TakeRole::far : logbook::TakeRole::take;
}

/// The recordings that can be stored, far ones and the room's last, with the roles of their diagnosis.
struct Stored {
    std::vector<SessionRecording> recordings;
    Roles roles;
};

Result<Stored> what_to_store(SessionState state, bool keep_clips) {
    Stored stored;
    mark_same_sound(state.recordings);
    for (const auto role : {logbook::TakeRole::take, logbook::TakeRole::far, logbook::TakeRole::room})
        for (const SessionRecording& recording : state.recordings) {
            if (role_of(recording) != role || !recording.picture || !recording.same_as.empty()) continue;
            if (recording.path.empty() && keep_clips)
                return Error{recording.name, "it is not in a file and cannot be kept",
                             "Remove it, or store without the recordings"};
            stored.recordings.push_back(recording);
        }
    stored.roles = roles_of(stored.recordings);
    if (stored.roles.takes.empty())
        return Error{"logbook", "there is no recording of the board to store",
                     "Record a state, or keep the last ten seconds first"};
    return stored;
}

Result<logbook::Unit> unit_for(logbook::Logbook& logbook, const StoreOptions& chosen, const ReadSheet* open) {
    if (!chosen.new_unit) return logbook::find_unit(logbook, chosen.serial);
    if (open == nullptr)
        return Error{"unit '" + chosen.serial + "'", "a new unit needs the sheet of its board",
                     "Open the board's sheet first"};
    logbook::Unit unit;
    unit.serial = chosen.serial;
    unit.batch = chosen.batch;
    unit.firmware = chosen.firmware;
    return logbook::add_unit(logbook, unit, open->kept);
}

}  // namespace

void Session::list_units() {
    enqueue([this] { read_units(); });
}

void Session::read_units() {
    auto units = std::make_shared<std::vector<logbook::Unit>>();
    std::string trouble;
    std::error_code problem;
    if (options_.logbook_path.empty()) {
        trouble = base::to_sentence(no_logbook());
    } else if (fs::exists(base::path_of(options_.logbook_path), problem)) {
        auto logbook = logbook::Logbook::open(options_.logbook_path, logbook::Logbook::Mode::look_only);
        auto listed = logbook ? tattletone::logbook::list_units(*logbook, {})
                              : Result<std::vector<logbook::Unit>>(logbook.error());
        if (listed)
            *units = std::move(*listed);
        else
            trouble = base::to_sentence(listed.error());
    }
    change([&](SessionState& state) {
        state.units = std::move(units);
        state.logbook_trouble = trouble;
    });
}

std::shared_ptr<const report::Confirmed> Session::read_confirmed(const std::string& board) {
    std::error_code problem;
    if (options_.ignore_confirmed || options_.logbook_path.empty() ||
        !fs::exists(base::path_of(options_.logbook_path), problem))
        return nullptr;
    auto logbook = logbook::Logbook::open(options_.logbook_path, logbook::Logbook::Mode::look_only);
    auto confirmed = logbook ? report::confirmed_on(*logbook, board) : Result<report::Confirmed>(logbook.error());
    if (confirmed) return std::make_shared<const report::Confirmed>(std::move(*confirmed));
    tell(true, base::to_sentence(confirmed.error()));
    return nullptr;
}

void Session::store(const StoreOptions& chosen) {
    change([](SessionState& state) { state.storing = true; });
    enqueue([this, chosen] {
        SessionState state;
        {
            const std::scoped_lock lock(mutex_);
            state = next_;
        }
        const auto stored = store_now(state, chosen);
        change([](SessionState& next) { next.storing = false; });
        tell(!stored, stored ? *stored : base::to_sentence(stored.error()));
        if (!stored) return;
        read_units();
        if (!chosen.clear) return;
        for (const SessionRecording& recording : state.recordings)
            if (!recording.room && recording.picture) remove_recording(recording.id);
    });
}

Result<std::string> Session::store_now(const SessionState& state, const StoreOptions& chosen) {
    if (options_.logbook_path.empty()) return no_logbook();
    auto what = what_to_store(state, chosen.keep_clips);
    if (!what) return what.error();
    BoardReading board;
    if (!state.sheet_path.empty()) {
        board = read_board_file(state.sheet_path);
        if (!board.read) return board.errors.front();
    }
    if (chosen.new_unit) {
        std::error_code problem;
        fs::create_directories(base::path_of(options_.logbook_path).parent_path(), problem);
    }
    auto logbook = logbook::Logbook::open(
        options_.logbook_path, chosen.new_unit ? logbook::Logbook::Mode::create : logbook::Logbook::Mode::existing);
    if (!logbook) return logbook.error();
    const auto unit = unit_for(*logbook, chosen, board.read ? &*board.read : nullptr);
    if (!unit) return unit.error();
    if (!board.read) {
        board = read_kept_board(*logbook, unit->sheet);
        if (!board.read) return board.errors.front();
    }
    std::optional<report::Confirmed> confirmed;
    if (!options_.ignore_confirmed) {
        auto known = report::confirmed_on(*logbook, board.read->sheet.name);
        if (!known) return known.error();
        confirmed = std::move(*known);
    }
    tones::UnitTones unit_tones =
        tones::unite(std::move(what->roles.takes), what->roles.room, std::move(what->roles.far));
    std::optional<match::TrialJoin> trial;
    if (const SessionRecording* const toggled = newest_toggled(what->recordings)) {
        auto tried = trial_of(*toggled, &board.read->sheet, unit_tones);
        if (!tried) return tried.error();
        trial = match::TrialJoin{std::move(*tried), {}};
    }
    const match::Findings findings =
        report::diagnose_here(&board.read->sheet, std::move(unit_tones), confirmed ? &*confirmed : nullptr, nullptr,
                              trial ? &*trial : nullptr);
    base::JsonParts parts;
    if (trial) parts.push_back({"toggle", report::trial_json(*trial)});
    if (confirmed && !confirmed->opinions.empty()) parts.push_back({"confirmed", report::confirmed_json(*confirmed)});
    const std::string json = match::findings_json(findings, parts);
    std::vector<logbook::TakeToStore> takes;
    for (const SessionRecording& recording : what->recordings)
        takes.push_back({recording.path, role_of(recording), &recording.picture->found});
    const logbook::Circumstances circumstances{
        options_.user,     chosen.firmware.empty() ? unit->firmware : chosen.firmware,
        chosen.microphone, chosen.note,
        chosen.label,      chosen.distance_cm};
    const auto id = logbook::store_measurement(
        *logbook, *unit, &board.read->kept,
        {&findings, json, report::answer_line(findings), match::verdict_word(findings.verdict)}, circumstances, takes,
        chosen.keep_clips);
    if (!id) return id.error();
    return "Stored as measurement " + id->substr(0, 8) + " of unit " + unit->serial + ": " +
           report::answer_line(findings);
}

}  // namespace tattletone::session
