#include "logbook/units/measurements.h"

#include <algorithm>
#include <cmath>

#include "logbook/storage/kept_floor.h"
#include "logbook/units/heard_from.h"
#include "logbook/units/identity.h"
#include "match/plausible.h"
#include "match/words.h"

namespace tattletone::logbook {
namespace {

void record_tones(Database& database, std::int64_t number, const match::Findings& findings) {
    for (const tones::UnitTone& tone : findings.unit.tones) {
        std::optional<std::string> rate, kind, other;
        std::optional<int> line;
        std::optional<double> probability;
        const auto explained = findings.explained_by.find(tone.id);
        if (explained != findings.explained_by.end() && !explained->second.empty()) {
            const match::Explanation& best = explained->second[0];
            rate = best.rate;
            kind = match::kind_word(best.kind);
            line = best.order;
            if (!best.other.empty()) other = best.other;
            probability = best.probability;
        }
        const tones::Tone& found = tone.tone;
        // Of many lines that count only together none is a tone. Most likely noise: the answer tells it, but it is no
        // tone that could recur in a batch.
        if (found.comb || (found.faint && probability.value_or(0.0) < 0.5)) continue;
        database.run("INSERT INTO tone VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", number, tone.id, found.hz,
                     found.hz_sd, found.level_dbfs, found.tone_to_noise_db, match::origin_word(found.origin), rate,
                     kind, line, other, probability);
    }
    for (const match::Suspect& suspect : findings.suspects)
        database.run("INSERT INTO suspect VALUES (?, ?, ?)", number, suspect.rate, suspect.probability);
}

#define MEASUREMENT_COLUMNS                                                                   \
    "number, id, unit, coalesce(sheet, ''), measured_at, measured_by, firmware, microphone, " \
    "distance_cm, note, label, verdict, answer "

Measurement measurement_of(const Statement& row) {
    Measurement found;
    found.number = row.integer(0);
    found.id = row.text(1);
    found.unit = row.text(2);
    found.sheet = row.text(3);
    found.measured_at = row.text(4);
    found.circumstances = {row.text(5), row.text(6), row.text(7), row.text(9), row.text(10), row.real_or_none(8)};
    found.verdict = row.text(11);
    found.answer = row.text(12);
    return found;
}

/// Of a row whose columns 4 and 5 are `is_room` and `is_far`.
TakeRole role_of(const Statement& row) {
    return row.integer(4) != 0 ? TakeRole::room : row.integer(5) != 0 ? TakeRole::far : TakeRole::take;
}

}  // namespace

Result<std::string> store_measurement(Logbook& logbook, const Unit& unit, const KeptSheet* sheet,
                                      const PrintedFindings& printed, const Circumstances& circumstances,
                                      const std::vector<TakeToStore>& takes, bool keep_clips) {
    std::optional<ClipGuard> guard;
    std::vector<std::optional<StoredClip>> clips(takes.size());
    if (keep_clips) {
        auto taken = ClipGuard::take(logbook, ClipGuard::Purpose::storing);
        if (!taken) return taken.error();
        guard.emplace(std::move(*taken));
        for (std::size_t i = 0; i < takes.size(); ++i) {
            auto clip = place_clip(logbook, takes[i].path);
            if (!clip) return clip.error();
            clips[i] = std::move(*clip);
        }
    }
    Database& database = logbook.database();
    Transaction transaction(database);
    if (sheet != nullptr) record_sheet(database, *sheet);
    const std::string id = new_id();
    database.run(
        "INSERT INTO measurement (id, unit, sheet, measured_at, measured_by, firmware, "
        "microphone, distance_cm, note, label, verdict, answer, findings) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        id, unit.id, sheet != nullptr ? std::optional(sheet->hash) : std::nullopt, now_utc(), circumstances.measured_by,
        circumstances.firmware, circumstances.microphone, circumstances.distance_cm, circumstances.note,
        circumstances.label, printed.verdict, printed.answer, printed.json);
    const std::int64_t number = database.number("SELECT last_insert_rowid()");
    std::size_t position = 0, far_position = 0;
    const tones::UnitTones& heard = printed.findings->unit;
    for (std::size_t i = 0; i < takes.size(); ++i) {
        std::string state, spot;
        const bool is_room = takes[i].role == TakeRole::room, is_far = takes[i].role == TakeRole::far;
        const std::vector<tones::Take>& list = is_far ? heard.far : heard.takes;
        std::size_t& next = is_far ? far_position : position;
        if (!is_room && next < list.size()) {
            state = list[next].state;
            spot = list[next++].spot;
        }
        if (clips[i]) record_clip(database, *clips[i]);
        database.run("INSERT INTO take VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", number, i, is_room, takes[i].path, state,
                     spot, clips[i] ? std::optional(clips[i]->hash) : std::nullopt,
                     clips[i] ? packed_gaps(clips[i]->gaps) : "[]", Blob{packed_floor(takes[i].found->floor)}, is_far);
    }
    record_tones(database, number, *printed.findings);
    if (auto error = transaction.commit()) return *error;
    return id;
}

Result<std::vector<Measurement>> list_measurements(Logbook& logbook, const std::string& unit_id) {
    Database& database = logbook.database();
    std::vector<Measurement> found;
    for (auto row = database.query("SELECT " MEASUREMENT_COLUMNS "FROM measurement WHERE unit = ? "
                                   "ORDER BY measured_at DESC, number DESC",
                                   unit_id);
         row.step();)
        found.push_back(measurement_of(row));
    for (Measurement& measurement : found)
        for (auto row = database.query("SELECT path, state, spot, coalesce(clip, ''), is_room, is_far FROM "
                                       "take WHERE measurement = ? ORDER BY position",
                                       std::int64_t{measurement.number});
             row.step();)
            measurement.takes.push_back({row.text(0), row.text(1), row.text(2), row.text(3), role_of(row), {}});
    if (database.failed()) return database.take_error();
    return found;
}

Result<Measurement> find_measurement(Logbook& logbook, long long number) {
    Database& database = logbook.database();
    auto row = database.query("SELECT " MEASUREMENT_COLUMNS ", findings FROM measurement WHERE number = ?",
                              std::int64_t{number});
    if (!row.step())
        return database.failed()
                   ? database.take_error()
                   : Error{logbook.path(), "there is no such measurement", "'tattletone unit show' lists them"};
    Measurement found = measurement_of(row);
    found.findings_json = row.text(13);
    for (auto take = database.query("SELECT path, state, spot, coalesce(clip, ''), is_room, is_far, floor FROM "
                                    "take WHERE measurement = ? ORDER BY position",
                                    std::int64_t{number});
         take.step();)
        found.takes.push_back(
            {take.text(0), take.text(1), take.text(2), take.text(3), role_of(take), unpacked_floor(take.bytes(6))});
    if (database.failed()) return database.take_error();
    return found;
}

Result<std::vector<LevelPoint>> level_history(Logbook& logbook, const std::string& unit_id, double hz,
                                              double tolerance_hz) {
    Database& database = logbook.database();
    std::vector<LevelPoint> points;
    for (auto row = database.query("SELECT number, measured_at, label FROM measurement WHERE unit = ? "
                                   "ORDER BY measured_at, number",
                                   unit_id);
         row.step();) {
        LevelPoint point;
        point.measured_at = row.text(1);
        point.label = row.text(2);
        auto tone = database.query(
            "SELECT hz, level_dbfs FROM tone WHERE measurement = ? AND hz "
            "BETWEEN ? AND ? AND origin = 'board' ORDER BY level_dbfs DESC",
            row.integer(0), hz - tolerance_hz, hz + tolerance_hz);
        if (tone.step()) {
            point.heard = true;
            point.hz = match::plausible_hz(tone.real(0));
            point.level_dbfs = match::plausible_db(tone.real(1));
        } else {
            const auto bound = least_audible_dbfs(database, row.integer(0), hz);
            point.known = bound.has_value();
            if (bound) point.level_dbfs = *bound;
        }
        points.push_back(point);
    }
    if (database.failed()) return database.take_error();
    return points;
}

}  // namespace tattletone::logbook
