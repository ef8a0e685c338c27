#include <algorithm>
#include <filesystem>

#include "logbook/measurements.h"
#include "report/json.h"
#include "report/words.h"
#include "session/confirmed.h"
#include "session/kept_board.h"
#include "session/session.h"

namespace tattletone {
namespace {

namespace fs = std::filesystem;

fs::path as_path(const std::string& utf8) {
    return fs::path(std::u8string(utf8.begin(), utf8.end()));
}

Error no_logbook() {
    return {"logbook", "this system does not say where your data belong",
            "Start the window with --logbook FILE"};
}

/// The recordings that can be stored, the room's last, with the takes of their diagnosis.
struct Stored {
    std::vector<SessionRecording> recordings;
    std::vector<Take> takes;
    const Tones* room = nullptr;
};

Result<Stored> what_to_store(const SessionState& state, bool keep_clips) {
    Stored stored;
    for (const bool room : {false, true})
        for (const SessionRecording& recording : state.recordings) {
            if (recording.room != room || !recording.picture) continue;
            if (recording.path.empty() && keep_clips)
                return Error{recording.name, "it is not in a file and cannot be kept",
                             "Remove it, or store without the recordings"};
            stored.recordings.push_back(recording);
        }
    stored.takes = takes_of(state.recordings, stored.room);
    if (stored.takes.empty())
        return Error{"logbook", "there is no recording of the board to store",
                     "Record a state, or keep the last ten seconds first"};
    return stored;
}

Result<Unit> unit_for(Logbook& logbook, const StoreWish& wish, const ReadSheet* open) {
    if (!wish.new_unit) return find_unit(logbook, wish.serial);
    if (open == nullptr)
        return Error{"unit '" + wish.serial + "'", "a new unit needs the sheet of its board",
                     "Open the board's sheet first"};
    Unit unit;
    unit.serial = wish.serial;
    unit.batch = wish.batch;
    unit.firmware = wish.firmware;
    return add_unit(logbook, unit, open->kept);
}

}  // namespace

void Session::list_units() {
    enqueue([this] { read_units(); });
}

void Session::read_units() {
    auto units = std::make_shared<std::vector<Unit>>();
    std::string trouble;
    std::error_code problem;
    if (options_.logbook_path.empty()) {
        trouble = to_sentence(no_logbook());
    } else if (fs::exists(as_path(options_.logbook_path), problem)) {
        auto logbook = Logbook::open(options_.logbook_path, Logbook::Mode::look_only);
        auto listed = logbook ? tattletone::list_units(*logbook, {})
                              : Result<std::vector<Unit>>(logbook.error());
        if (listed)
            *units = std::move(*listed);
        else
            trouble = to_sentence(listed.error());
    }
    change([&](SessionState& state) {
        state.units = std::move(units);
        state.logbook_trouble = trouble;
    });
}

std::shared_ptr<const Confirmed> Session::read_confirmed(const std::string& board) {
    std::error_code problem;
    if (options_.ignore_confirmed || options_.logbook_path.empty() ||
        !fs::exists(as_path(options_.logbook_path), problem))
        return nullptr;
    auto logbook = Logbook::open(options_.logbook_path, Logbook::Mode::look_only);
    auto confirmed = logbook ? confirmed_on(*logbook, board) : Result<Confirmed>(logbook.error());
    if (confirmed) return std::make_shared<const Confirmed>(std::move(*confirmed));
    tell(true, to_sentence(confirmed.error()));
    return nullptr;
}

void Session::store(const StoreWish& wish) {
    change([](SessionState& state) { state.storing = true; });
    enqueue([this, wish] {
        SessionState state;
        {
            const std::scoped_lock lock(mutex_);
            state = next_;
        }
        const auto stored = store_now(state, wish);
        change([](SessionState& next) { next.storing = false; });
        tell(!stored, stored ? *stored : to_sentence(stored.error()));
        if (!stored) return;
        read_units();
        if (!wish.clear) return;
        for (const SessionRecording& recording : state.recordings)
            if (!recording.room && recording.picture) remove_recording(recording.id);
    });
}

Result<std::string> Session::store_now(const SessionState& state, const StoreWish& wish) {
    if (options_.logbook_path.empty()) return no_logbook();
    auto what = what_to_store(state, wish.keep_clips);
    if (!what) return what.error();
    BoardReading board;
    if (!state.sheet_path.empty()) {
        board = read_board_file(state.sheet_path);
        if (!board.read) return board.errors.front();
    }
    if (wish.new_unit) {
        std::error_code problem;
        fs::create_directories(as_path(options_.logbook_path).parent_path(), problem);
    }
    auto logbook = Logbook::open(options_.logbook_path,
                                 wish.new_unit ? Logbook::Mode::create : Logbook::Mode::existing);
    if (!logbook) return logbook.error();
    const auto unit = unit_for(*logbook, wish, board.read ? &*board.read : nullptr);
    if (!unit) return unit.error();
    if (!board.read) {
        board = read_kept_board(*logbook, unit->sheet);
        if (!board.read) return board.errors.front();
    }
    std::optional<Confirmed> confirmed;
    if (!options_.ignore_confirmed) {
        auto known = confirmed_on(*logbook, board.read->sheet.name);
        if (!known) return known.error();
        confirmed = std::move(*known);
    }
    const Findings findings =
        diagnose_here(&board.read->sheet, unite(std::move(what->takes), what->room),
                      confirmed ? &*confirmed : nullptr);
    std::string json = findings_json(findings);
    if (confirmed && !confirmed->opinions.empty()) json = with_confirmed(json, *confirmed);
    std::vector<TakeToStore> takes;
    for (const SessionRecording& recording : what->recordings)
        takes.push_back({recording.path, recording.room, &recording.picture->found});
    const Circumstances circumstances{
        options_.user,   wish.firmware.empty() ? unit->firmware : wish.firmware,
        wish.microphone, wish.note,
        wish.label,      wish.distance_cm};
    const auto id = store_measurement(
        *logbook, *unit, &board.read->kept,
        {&findings, json, answer_sentence(findings), verdict_word(findings.verdict)}, circumstances,
        takes, wish.keep_clips);
    if (!id) return id.error();
    return "Stored as measurement " + id->substr(0, 8) + " of unit " + unit->serial + ": " +
           answer_sentence(findings);
}

}  // namespace tattletone
