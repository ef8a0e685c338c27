#include <algorithm>
#include <cmath>
#include <iterator>

#include "logbook/storage/plausible.h"
#include "logbook/units/measurements.h"

namespace tattletone::logbook {
namespace {

// A thousand tones in a hundred recordings are half of it. What is more would fill the memory of whoever
// looks at a page.
constexpr std::size_t most_entries = 200'000;
constexpr double longest_seconds = 1e9;

template <class Word, std::size_t count>
Word word_in(const char* const (&words)[count], const std::string& text, Word otherwise) {
    const auto found = std::find(std::begin(words), std::end(words), text);
    return found == std::end(words) ? otherwise : static_cast<Word>(found - std::begin(words));
}

constexpr const char* kinds[] = {"harmonic", "subharmonic", "sideband", "image", "beat"};
constexpr const char* origins[] = {"board", "room", "mains", "unsure"};
constexpr const char* verdicts[] = {"named", "unknown", "quiet"};

/// Reads what may be anybody's text: numbers are brought within what a measurement can give, and indices
/// that lead nowhere are left out.
class Reader {
  public:
    Reader(Database& database, const std::string& json) : database_(database), json_(json) {}

    void takes(const std::vector<std::vector<tones::FloorPoint>>& floors);
    void tones();
    void suspects();
    match::Findings finish();

  private:
    bool next(Statement& row) {
        if (!row.step()) return false;
        if (entries_ < most_entries) return ++entries_, true;
        cut_ = true;
        return false;
    }
    std::vector<std::string> texts(const std::string& json) {
        std::vector<std::string> found;
        for (auto row = database_.query("SELECT value FROM json_each(?)", json); next(row);)
            found.push_back(row.text(0));
        return found;
    }
    static int integer(const Statement& row, int column, double most) {
        return static_cast<int>(bounded(row.real(column), -most, most, 0.0));
    }
    void heard_in(const std::string& json, tones::UnitTone& tone);
    void explanations(const std::string& json, int id);

    Database& database_;
    const std::string& json_;
    match::Findings findings_;
    std::size_t entries_ = 0;
    bool cut_ = false;
};

void Reader::takes(const std::vector<std::vector<tones::FloorPoint>>& floors) {
    for (auto row = database_.query(
             "SELECT value ->> 'path', value ->> 'state', value ->> 'spot', value ->> "
             "'sample_rate_hz', value ->> 'seconds', value ->> '$.usable_band_hz[0]', value ->> "
             "'$.usable_band_hz[1]', coalesce(value -> 'notices', '[]'), coalesce(value -> 'changed', '[]'), "
             "coalesce(value -> 'off', '[]') FROM json_each(? -> 'recordings') WHERE type = 'object'",
             json_);
         next(row);) {
        tones::Take take;
        take.path = row.text(0);
        take.state = row.text(1);
        take.spot = row.text(2);
        take.found.origin = take.path;
        take.found.sample_rate_hz = plausible_hz(row.real(3));
        take.found.seconds = bounded(row.real(4), 0.0, longest_seconds, 0.0);
        take.found.usable = {plausible_hz(row.real(5)), plausible_hz(row.real(6))};
        take.found.notices = texts(row.text(7));
        for (auto change = database_.query("SELECT value ->> 'rate', value ->> 'hz' FROM json_each(?) WHERE "
                                           "type = 'object'",
                                           row.text(8));
             next(change);)
            take.changes.push_back({change.text(0), plausible_hz(change.real(1))});
        for (const std::string& off : texts(row.text(9))) take.changes.push_back({off, 0.0});
        if (findings_.unit.takes.size() < floors.size()) take.found.floor = floors[findings_.unit.takes.size()];
        findings_.unit.takes.push_back(std::move(take));
    }
}

void Reader::heard_in(const std::string& json, tones::UnitTone& tone) {
    for (auto row =
             database_.query("SELECT value ->> 'recording', value ->> 'level_dbfs', value ->> "
                             "'tone_to_noise_db', value ->> 'below_dbfs' FROM json_each(?) WHERE type = 'object'",
                             json);
         next(row);) {
        tones::HeardIn heard;
        heard.take = integer(row, 0, 1e6);
        if (heard.take < 0 || static_cast<std::size_t>(heard.take) >= findings_.unit.takes.size()) continue;
        heard.heard = !row.is_null(1);
        heard.level_dbfs = plausible_db(row.real(1));
        heard.tone_to_noise_db = plausible_db(row.real(2));
        heard.below_dbfs = plausible_db(row.real(3));
        tone.heard_in.push_back(heard);
    }
}

void Reader::explanations(const std::string& json, int id) {
    for (auto row =
             database_.query("SELECT value ->> 'rate', value ->> 'kind', value ->> 'order', value ->> 'other', value "
                             "->> 'expected_hz', value ->> 'offset_hz', value ->> 'probability' FROM json_each(?) "
                             "WHERE type = 'object'",
                             json);
         next(row);) {
        constexpr auto none = static_cast<board::LineKind>(-1);
        const board::LineKind kind = word_in(kinds, row.text(1), none);
        if (kind == none) continue;
        const double offset_hz = bounded(row.real(5), -highest_plausible_hz, highest_plausible_hz, 0.0);
        findings_.explained_by[id].push_back({row.text(0), kind, integer(row, 2, highest_plausible_order), row.text(3),
                                              plausible_hz(row.real(4)), offset_hz,
                                              plausible_probability(row.real(6))});
    }
}

void Reader::tones() {
    for (auto row = database_.query(
             "SELECT value ->> 'id', value ->> 'hz', value ->> 'hz_sd', value ->> 'level_dbfs', value "
             "->> 'tone_to_noise_db', value ->> 'prominence_db', value ->> 'prominent', value ->> "
             "'present', value ->> 'start_hz', value ->> 'end_hz', value ->> 'origin', coalesce(value -> "
             "'heard_in', '[]'), coalesce(value -> 'explained_by', '[]'), value ->> 'faint' FROM "
             "json_each(? -> 'tones') WHERE type = 'object'",
             json_);
         next(row);) {
        tones::UnitTone tone;
        tone.id = integer(row, 0, 1e9);
        tone.tone.hz = plausible_hz(row.real(1));
        tone.tone.hz_sd = plausible_hz(row.real(2));
        tone.tone.level_dbfs = plausible_db(row.real(3));
        tone.tone.tone_to_noise_db = plausible_db(row.real(4));
        tone.tone.prominence_db = plausible_db(row.real(5));
        if (!row.is_null(6)) tone.tone.prominent = row.integer(6) != 0;
        tone.tone.present = plausible_probability(row.real(7));
        tone.tone.start_hz = plausible_hz(row.real(8));
        tone.tone.end_hz = plausible_hz(row.real(9));
        tone.tone.wander_hz = std::abs(tone.tone.end_hz - tone.tone.start_hz);
        tone.tone.steady = tone.tone.wander_hz <= std::max(0.2, 5.0 * tone.tone.hz_sd);
        tone.tone.faint = row.integer(13) != 0;  // missing in what older versions stored: 0
        tone.tone.origin = word_in(origins, row.text(10), tones::Origin::unsure);
        heard_in(row.text(11), tone);
        explanations(row.text(12), tone.id);
        findings_.unit.tones.push_back(std::move(tone));
    }
}

void Reader::suspects() {
    for (auto row = database_.query("SELECT value ->> 'rate', value ->> 'probability', coalesce(value -> "
                                    "'tones', '[]'), coalesce(value -> 'reasons', '[]') FROM json_each(? -> "
                                    "'suspects') WHERE type = 'object'",
                                    json_);
         next(row);) {
        match::Suspect suspect;
        suspect.rate = row.text(0);
        suspect.probability = plausible_probability(row.real(1));
        for (auto id = database_.query("SELECT value FROM json_each(?)", row.text(2)); next(id);)
            suspect.tones.push_back(integer(id, 0, 1e9));
        suspect.reasons = texts(row.text(3));
        findings_.suspects.push_back(std::move(suspect));
    }
    auto verdict = database_.query("SELECT ? ->> 'verdict'", json_);
    if (verdict.step()) findings_.verdict = word_in(verdicts, verdict.text(0), match::Verdict::unknown);
    // Older versions stored none.
    auto notices = database_.query("SELECT coalesce(? -> 'notices', '[]')", json_);
    if (notices.step()) findings_.notices = texts(notices.text(0));
}

match::Findings Reader::finish() {
    if (cut_ && !findings_.unit.takes.empty())
        findings_.unit.takes[0].found.notices.push_back(
            "too much: the stored findings have more than " + std::to_string(most_entries) +
            " entries, and the rest is not shown. Look at them with 'tattletone logbook check'.");
    return std::move(findings_);
}

}  // namespace

Result<match::Findings> findings_of(Logbook& logbook, const std::string& json,
                                    const std::vector<std::vector<tones::FloorPoint>>& floors) {
    return findings_of(logbook.database(), json, floors);
}

Result<match::Findings> findings_of(Database& database, const std::string& json,
                                    const std::vector<std::vector<tones::FloorPoint>>& floors) {
    const Error unreadable{database.path(), "the stored findings cannot be read",
                           "Run 'tattletone logbook check'; a backup may have them whole"};
    auto valid = database.query("SELECT CASE WHEN json_valid(?1) THEN json_type(?1) = 'object' ELSE 0 END", json);
    const bool is_object = valid.step() && valid.integer(0) != 0;
    if (database.failed()) {
        (void)database.take_error();
        return unreadable;
    }
    if (!is_object) return unreadable;
    Reader reader(database, json);
    reader.takes(floors);
    reader.tones();
    reader.suspects();
    if (database.failed()) {
        (void)database.take_error();
        return unreadable;
    }
    return reader.finish();
}

}  // namespace tattletone::logbook
