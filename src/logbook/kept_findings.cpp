#include <algorithm>
#include <cmath>
#include <iterator>

#include "logbook/measurements.h"

namespace tattletone {
namespace {

template <class Word, std::size_t count>
Word word_in(const char* const (&words)[count], const std::string& text) {
    const auto found = std::find(std::begin(words), std::end(words), text);
    return static_cast<Word>(found == std::end(words) ? 0 : found - std::begin(words));
}

constexpr const char* kinds[] = {"harmonic", "subharmonic", "sideband", "image", "beat"};
constexpr const char* origins[] = {"board", "room", "mains", "unsure"};
constexpr const char* verdicts[] = {"named", "unknown", "quiet"};

void read_takes(Database& database, const std::string& json,
                const std::vector<std::vector<FloorPoint>>& floors, Findings& findings) {
    for (auto row = database.query(
             "SELECT value ->> 'path', value ->> 'state', value ->> 'spot', value ->> "
             "'sample_rate_hz', value ->> 'seconds', value ->> '$.usable_band_hz[0]', value ->> "
             "'$.usable_band_hz[1]', value -> 'notices', coalesce(value -> 'changed', '[]'), "
             "coalesce(value -> 'off', '[]') FROM json_each(? -> 'recordings')",
             json);
         row.step();) {
        Take take;
        take.path = row.text(0);
        take.state = row.text(1);
        take.spot = row.text(2);
        take.found.origin = take.path;
        take.found.sample_rate_hz = row.real(3);
        take.found.seconds = row.real(4);
        take.found.usable = {row.real(5), row.real(6)};
        for (auto notice = database.query("SELECT value FROM json_each(?)", row.text(7)); notice.step();)
            take.found.notices.push_back(notice.text(0));
        for (auto change = database.query("SELECT value ->> 'rate', value ->> 'hz' FROM json_each(?)", row.text(8));
             change.step();)
            take.changes.push_back({change.text(0), change.real(1)});
        for (auto off = database.query("SELECT value FROM json_each(?)", row.text(9)); off.step();)
            take.changes.push_back({off.text(0), 0.0});
        if (findings.unit.takes.size() < floors.size())
            take.found.floor = floors[findings.unit.takes.size()];
        findings.unit.takes.push_back(std::move(take));
    }
}

void read_heard_in(Database& database, const std::string& json, UnitTone& tone) {
    for (auto row = database.query("SELECT value ->> 'recording', value ->> 'level_dbfs', value ->> "
                                   "'tone_to_noise_db', value ->> 'below_dbfs' FROM json_each(?)",
                                   json);
         row.step();) {
        HeardIn heard;
        heard.take = static_cast<int>(row.integer(0));
        heard.heard = !row.is_null(1);
        heard.level_dbfs = row.real(1);
        heard.tone_to_noise_db = row.real(2);
        heard.below_dbfs = row.real(3);
        tone.heard_in.push_back(heard);
    }
}

void read_explanations(Database& database, const std::string& json, int id, Findings& findings) {
    for (auto row = database.query(
             "SELECT value ->> 'rate', value ->> 'kind', value ->> 'order', value ->> 'other', value "
             "->> 'expected_hz', value ->> 'offset_hz', value ->> 'probability' FROM json_each(?)",
             json);
         row.step();)
        findings.explained_by[id].push_back({row.text(0), word_in<LineKind>(kinds, row.text(1)),
                                             static_cast<int>(row.integer(2)), row.text(3),
                                             row.real(4), row.real(5), row.real(6)});
}

void read_tones(Database& database, const std::string& json, Findings& findings) {
    for (auto row = database.query(
             "SELECT value ->> 'id', value ->> 'hz', value ->> 'hz_sd', value ->> 'level_dbfs', value "
             "->> 'tone_to_noise_db', value ->> 'prominence_db', value ->> 'prominent', value ->> "
             "'present', value ->> 'start_hz', value ->> 'end_hz', value ->> 'origin', value -> "
             "'heard_in', value -> 'explained_by', value ->> 'faint' FROM json_each(? -> 'tones')",
             json);
         row.step();) {
        UnitTone tone;
        tone.id = static_cast<int>(row.integer(0));
        tone.tone.hz = row.real(1);
        tone.tone.hz_sd = row.real(2);
        tone.tone.level_dbfs = row.real(3);
        tone.tone.tone_to_noise_db = row.real(4);
        tone.tone.prominence_db = row.real(5);
        if (!row.is_null(6)) tone.tone.prominent = row.integer(6) != 0;
        tone.tone.present = row.real(7);
        tone.tone.start_hz = row.real(8);
        tone.tone.end_hz = row.real(9);
        tone.tone.wander_hz = std::abs(tone.tone.end_hz - tone.tone.start_hz);
        tone.tone.steady = tone.tone.wander_hz <= std::max(0.2, 5.0 * tone.tone.hz_sd);
        tone.tone.faint = row.integer(13) != 0;  // missing in what older versions stored: 0
        tone.tone.origin = word_in<Origin>(origins, row.text(10));
        read_heard_in(database, row.text(11), tone);
        read_explanations(database, row.text(12), tone.id, findings);
        findings.unit.tones.push_back(std::move(tone));
    }
}

void read_suspects(Database& database, const std::string& json, Findings& findings) {
    for (auto row = database.query("SELECT value ->> 'rate', value ->> 'probability', value -> "
                                   "'tones', value -> 'reasons' FROM json_each(? -> 'suspects')",
                                   json);
         row.step();) {
        Suspect suspect;
        suspect.rate = row.text(0);
        suspect.probability = row.real(1);
        for (auto id = database.query("SELECT value FROM json_each(?)", row.text(2)); id.step();)
            suspect.tones.push_back(static_cast<int>(id.integer(0)));
        for (auto reason = database.query("SELECT value FROM json_each(?)", row.text(3)); reason.step();)
            suspect.reasons.push_back(reason.text(0));
        findings.suspects.push_back(std::move(suspect));
    }
}

}  // namespace

Findings findings_of(Logbook& logbook, const std::string& json,
                     const std::vector<std::vector<FloorPoint>>& floors) {
    Database& database = logbook.database();
    Findings findings;
    read_takes(database, json, floors, findings);
    read_tones(database, json, findings);
    read_suspects(database, json, findings);
    // Older versions stored none.
    for (auto notice = database.query("SELECT value FROM json_each(coalesce(? -> 'notices', '[]'))", json); notice.step();)
        findings.notices.push_back(notice.text(0));
    auto verdict = database.query("SELECT ? ->> 'verdict'", json);
    if (verdict.step()) findings.verdict = word_in<Verdict>(verdicts, verdict.text(0));
    return findings;
}

}  // namespace tattletone
