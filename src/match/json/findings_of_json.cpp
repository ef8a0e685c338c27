#include "match/json/findings_of_json.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/text/number.h"
#include "base/text/printable.h"
#include "match/json/printed_decimals.h"
#include "match/json/text_judge.h"
#include "match/plausible.h"
#include "match/words.h"

namespace tattletone::match {
namespace {

using Json = nlohmann::json;

// A thousand tones in a hundred recordings are half of it. What is more would fill the memory of whoever
// looks at a page.
constexpr std::size_t most_entries = 200'000;
const Json& value_at(const Json& object, const char* key) {
    static const Json none;
    const auto found = object.find(key);
    return found == object.end() ? none : *found;
}

double real_in(const Json& value) {
    if (value.is_boolean()) return value.get<bool>() ? 1.0 : 0.0;
    return value.is_number() ? value.get<double>() : 0.0;
}
double real_at(const Json& object, const char* key) {
    return real_in(value_at(object, key));
}
double hz_at(const Json& object, const char* key) {
    return plausible_hz(real_at(object, key));
}
double signed_hz_at(const Json& object, const char* key) {
    return bounded(real_at(object, key), -highest_plausible_hz, highest_plausible_hz, 0.0);
}
double db_at(const Json& object, const char* key) {
    return plausible_db(real_at(object, key));
}
double probability_at(const Json& object, const char* key) {
    return plausible_probability(real_at(object, key));
}
int integer_in(const Json& value, double most) {
    return static_cast<int>(bounded(real_in(value), -most, most, 0.0));
}
std::string text_at(const Json& object, const char* key) {
    const Json& value = value_at(object, key);
    return value.is_string() ? value.get<std::string>() : std::string();
}

// A printed uncertainty may have been rounded up to where it leaves a digit fewer than the values have that were
// printed by it. A number just below it prints the same and leaves that digit.
template <class DecimalsFor>
double sd_that_keeps(const std::vector<double>& values, double sd, DecimalsFor decimals_for) {
    const double below = sd > 0.0 ? sd * (1.0 - 1e-12) : 1e-12;
    const bool kept = std::all_of(values.begin(), values.end(), [&](double value) {
        return base::trimmed(value, decimals_for(sd)) == base::trimmed(value, decimals_for(below));
    });
    return kept ? sd : below;
}

// Bits and bits a minute are both printed rounded: a value that gives both again.
double bits_of(double bits, double bits_per_minute, double minutes) {
    constexpr double half = 0.5e-4;
    const double low = std::max(bits - half, (bits_per_minute - half) * minutes);
    const double high = std::min(bits + half, (bits_per_minute + half) * minutes);
    return low <= high ? 0.5 * (low + high) : bits;
}

// Reads what may be anybody's text: numbers are brought within what a measurement can give, and indices that lead
// nowhere are left out.
class FindingsReader {
  public:
    Result<Findings> read(const Json& json);

  private:
    template <class Use>
    void each(const Json& list, const std::string& where, Use use) {
        if (!list.is_array()) return;
        for (std::size_t i = 0; i < list.size(); ++i) {
            if (entries_ >= most_entries) cut_ = true;
            if (cut_) return;
            ++entries_;
            use(list[i], where + '[' + std::to_string(i) + ']');
        }
    }
    template <class Use>
    void each_object(const Json& list, const std::string& where, Use use) {
        each(list, where, [&](const Json& entry, const std::string& here) {
            if (entry.is_object()) use(entry, here);
        });
    }
    std::vector<std::string> texts(const Json& list) {
        std::vector<std::string> found;
        each(list, {}, [&](const Json& entry, const std::string&) {
            if (entry.is_string()) found.push_back(entry.get<std::string>());
        });
        return found;
    }
    std::vector<int> ids(const Json& list) {
        std::vector<int> found;
        each(list, {}, [&](const Json& entry, const std::string&) { found.push_back(integer_in(entry, 1e9)); });
        return found;
    }

    // `otherwise` only where the word is missing, as in what older versions stored.
    template <class Row, std::size_t count>
    auto word_at(const Json& object, const char* key, const std::array<Row, count>& words,
                 decltype(Row::value) otherwise, const std::string& where) {
        const Json& value = value_at(object, key);
        if (value.is_null()) return otherwise;
        const std::string word = value.is_string() ? value.get<std::string>() : std::string();
        if (const Row* row = base::row_with(words, word)) return row->value;
        if (!error_)
            error_ = Error{where.empty() ? key : where + '.' + key,
                           value.is_string() ? "unknown word '" + base::briefly(word) + "'" : "this is no word",
                           "Known are " + base::all_words(words)};
        return otherwise;
    }

    void take(const Json& json);
    void tone(const Json& json, const std::string& where);
    void spots(const Json& json, int id);
    void suspect(const Json& json);
    void rival(const Json& json, const std::string& where);
    static void read_figures(const Json& json, CombFigures& comb);
    void comb(const Json& json);
    void pulse(const Json& json);
    void undeclared(const Json& json);
    void experiment(const Json& json, const std::string& where);

    Findings findings_;
    std::optional<Error> error_;
    std::size_t entries_ = 0;
    bool cut_ = false;
};

void FindingsReader::take(const Json& json) {
    tones::Take take;
    take.path = text_at(json, "path");
    take.state = text_at(json, "state");
    take.spot = text_at(json, "spot");
    take.found.origin = take.path;
    take.found.sample_rate_hz = hz_at(json, "sample_rate_hz");
    take.found.seconds = bounded(real_at(json, "seconds"), 0.0, longest_plausible_seconds, 0.0);
    if (const Json& band = value_at(json, "usable_band_hz"); band.is_array() && band.size() == 2)
        take.found.usable = {plausible_hz(real_in(band[0])), plausible_hz(real_in(band[1]))};
    take.found.notices = texts(value_at(json, "notices"));
    each_object(value_at(json, "changed"), {}, [&](const Json& change, const std::string&) {
        take.changes.push_back({text_at(change, "rate"), hz_at(change, "hz")});
    });
    for (const std::string& off : texts(value_at(json, "off"))) take.changes.push_back({off, 0.0});
    const bool far = text_at(json, "role") == far_role;  // older versions did not say
    (far ? findings_.unit.far : findings_.unit.takes).push_back(std::move(take));
}

void FindingsReader::spots(const Json& json, int id) {
    SpotComparison read;
    each_object(value_at(json, "levels"), {}, [&](const Json& level, const std::string&) {
        const bool heard = !value_at(level, "level_dbfs").is_null();
        read.levels.push_back({text_at(level, "spot"), heard, db_at(level, "level_dbfs"), db_at(level, "level_sd_db"),
                               db_at(level, "below_dbfs")});
    });
    if (read.levels.size() < 2) return;
    read.counts = !value_at(json, "loudest").is_null();
    read.difference_db = db_at(json, "difference_db");
    read.difference_sd_db = db_at(json, "difference_sd_db");
    findings_.spots.try_emplace(id, std::move(read));
}

void FindingsReader::tone(const Json& json, const std::string& where) {
    tones::UnitTone unit_tone;
    tones::Tone& tone = unit_tone.tone;
    unit_tone.id = integer_in(value_at(json, "id"), 1e9);
    tone.hz = hz_at(json, "hz");
    tone.level_dbfs = db_at(json, "level_dbfs");
    tone.tone_to_noise_db = db_at(json, "tone_to_noise_db");
    tone.prominence_db = db_at(json, "prominence_db");
    if (const Json& prominent = value_at(json, "prominent"); !prominent.is_null())
        tone.prominent = real_in(prominent) != 0.0;
    tone.faint = real_at(json, "faint") != 0.0;  // missing in what older versions stored
    tone.comb = real_at(json, "comb") != 0.0;    // the same
    tone.present = probability_at(json, "present");
    tone.start_hz = hz_at(json, "start_hz");
    tone.end_hz = hz_at(json, "end_hz");
    tone.origin = word_at(json, "origin", origin_words, tones::Origin::unsure, where);
    if (value_at(json, "drift_hz_sd").is_number()) {
        tone.drift_hz = signed_hz_at(json, "drift_hz");
        const double sd = hz_at(json, "drift_hz_sd");
        tone.drift_hz_sd = std::max(sd_that_keeps({tone.drift_hz, sd}, sd, drift_decimals), 1e-12);
    }
    if (value_at(json, "bursts_hz").is_number() && hz_at(json, "bursts_hz") > 0.0) {
        tone.bursts_hz = hz_at(json, "bursts_hz");
        const double sd = hz_at(json, "bursts_hz_sd");
        tone.bursts_hz_sd = std::max(sd_that_keeps({tone.bursts_hz, sd}, sd, drift_decimals), 1e-12);
    }
    each_object(value_at(json, "heard_in"), {}, [&](const Json& entry, const std::string&) {
        const int take = integer_in(value_at(entry, "recording"), 1e6);
        if (take < 0 || static_cast<std::size_t>(take) >= findings_.unit.takes.size()) return;
        unit_tone.heard_in.push_back({take, !value_at(entry, "level_dbfs").is_null(), db_at(entry, "level_dbfs"),
                                      db_at(entry, "tone_to_noise_db"), db_at(entry, "below_dbfs")});
    });
    if (value_at(json, "room_below_dbfs").is_number()) unit_tone.room_below_dbfs = db_at(json, "room_below_dbfs");
    if (value_at(json, "far_fall_db").is_number())
        unit_tone.far_fall = {true, db_at(json, "far_fall_db"), db_at(json, "far_fall_db_sd"), 1};
    else if (value_at(json, "far_fall_at_least_db").is_number())
        unit_tone.far_fall = {false, db_at(json, "far_fall_at_least_db"), 0.0, 1};
    if (value_at(json, "level_swing_db").is_number())
        unit_tone.swing = {db_at(json, "level_swing_db"), std::max(1.0, db_at(json, "level_swing_places"))};
    std::vector<double> printed = {tone.hz, tone.start_hz, tone.end_hz};
    std::vector<Explanation> explained;
    each_object(value_at(json, "explained_by"), where + ".explained_by", [&](const Json& entry, const auto& here) {
        if (value_at(entry, "kind").is_null()) return;
        const auto kind = word_at(entry, "kind", board::line_kinds, board::LineKind::harmonic, here);
        const int order = integer_in(value_at(entry, "order"), highest_plausible_order);
        explained.push_back({text_at(entry, "rate"), kind, order, text_at(entry, "other"), hz_at(entry, "expected_hz"),
                             signed_hz_at(entry, "offset_hz"), probability_at(entry, "probability")});
        printed.push_back(explained.back().offset_hz);
        printed.push_back(explained.back().expected_hz);
    });
    // Of tones with one id only the first has any: they would be printed with each.
    if (!explained.empty()) findings_.explained_by.try_emplace(unit_tone.id, std::move(explained));
    tone.hz_sd = sd_that_keeps(printed, hz_at(json, "hz_sd"), hz_decimals);
    tone.wander_hz = std::abs(tone.end_hz - tone.start_hz);
    tone.steady = tone.wander_hz <= std::max(0.2, 5.0 * tone.hz_sd);
    if (const Json& told = value_at(json, "spots"); told.is_object()) spots(told, unit_tone.id);
    findings_.unit.tones.push_back(std::move(unit_tone));
}

void FindingsReader::suspect(const Json& json) {
    Suspect suspect;
    suspect.rate = text_at(json, "rate");
    suspect.probability = probability_at(json, "probability");
    suspect.tones = ids(value_at(json, "tones"));
    suspect.reasons = texts(value_at(json, "reasons"));
    suspect.against = texts(value_at(json, "against"));
    suspect.outside_tolerance = real_at(json, "outside_tolerance") != 0.0;
    findings_.suspects.push_back(std::move(suspect));
}

void FindingsReader::rival(const Json& json, const std::string& where) {
    if (value_at(json, "kind").is_null()) return;
    Rival rival;
    rival.kind = word_at(json, "kind", rival_words, RivalKind::device, where);
    rival.probability = probability_at(json, "probability");
    rival.hz = hz_at(json, "hz");
    rival.hz_sd = hz_at(json, "hz_sd");
    rival.lowest_hz = hz_at(json, "lowest_hz");
    rival.highest_hz = hz_at(json, "highest_hz");
    rival.tones = ids(value_at(json, "tones"));
    rival.rate = text_at(json, "rate");
    if (const Json& comb = value_at(json, "undeclared"); !comb.is_null()) rival.undeclared = integer_in(comb, 1e6);
    rival.words = text_at(json, "words");
    findings_.rivals.push_back(std::move(rival));
}

void FindingsReader::read_figures(const Json& json, CombFigures& comb) {
    comb.probability = probability_at(json, "probability");
    comb.hz = hz_at(json, "hz");
    comb.hz_sd = sd_that_keeps({comb.hz}, hz_at(json, "hz_sd"), hz_decimals);
    comb.recording = std::max(integer_in(value_at(json, "recording"), 1e6), 0);
    comb.lines = integer_in(value_at(json, "lines"), highest_plausible_order);
    comb.low_hz = hz_at(json, "low_hz");
    comb.high_hz = hz_at(json, "high_hz");
    comb.under_db = db_at(json, "under_db");
    comb.log10_ratio = bounded(real_at(json, "log10_ratio"), -1e6, 1e6, 0.0);
}

void FindingsReader::comb(const Json& json) {
    FoundComb& comb = findings_.combs.emplace_back();
    read_figures(json, comb);
    comb.rate = text_at(json, "rate");
}

void FindingsReader::undeclared(const Json& json) {
    UndeclaredComb& comb = findings_.undeclared.emplace_back();
    read_figures(json, comb);
    comb.tones = ids(value_at(json, "tones"));
}

void FindingsReader::pulse(const Json& json) {
    PulsedRate pulsed;
    pulsed.rate = text_at(json, "rate");
    pulsed.hz = hz_at(json, "hz");
    pulsed.hz_sd = sd_that_keeps({pulsed.hz}, hz_at(json, "hz_sd"), hz_decimals);
    pulsed.lines = integer_in(value_at(json, "lines"), highest_plausible_order);
    pulsed.odds = bounded(real_at(json, "odds"), 1.0, 1e6, 1.0);
    findings_.pulses.push_back(std::move(pulsed));
}

void FindingsReader::experiment(const Json& json, const std::string& where) {
    if (value_at(json, "trial").is_null()) return;
    Experiment read;
    read.kind = word_at(json, "trial", trial_words, Trial::state, where);
    read.what = text_at(json, "what");
    read.hz = hz_at(json, "hz");
    read.todo = text_at(json, "todo");
    read.caution = text_at(json, "caution");
    read.option = text_at(json, "option");
    read.minutes = bounded(real_at(json, "minutes"), 0.0, longest_plausible_seconds, 0.0);
    const auto bits = [&](const char* key) { return bounded(real_at(json, key), 0.0, 1e6, 0.0); };
    read.bits = bits_of(bits("bits"), bits("bits_per_minute"), read.minutes);
    read.sure_now = probability_at(json, "sure_now");
    read.sure_after = probability_at(json, "sure_after");
    each_object(value_at(json, "predictions"), where + ".predictions", [&](const Json& entry, const auto& here) {
        if (value_at(entry, "fate").is_null()) return;
        read.predictions.push_back({text_at(entry, "rate"), probability_at(entry, "probability"),
                                    integer_in(value_at(entry, "tone"), 1e9), hz_at(entry, "tone_hz"),
                                    word_at(entry, "fate", effect_words, Forecast::Effect::stays, here),
                                    hz_at(entry, "hz"), probability_at(entry, "after")});
    });
    findings_.next.push_back(std::move(read));
}

Result<Findings> FindingsReader::read(const Json& json) {
    each_object(value_at(json, "recordings"), {}, [&](const Json& entry, const auto&) { take(entry); });
    const Json& room = value_at(json, "room_recorded");  // older versions did not say
    findings_.unit.room_given = room.is_boolean() && room.get<bool>();
    each_object(value_at(json, "tones"), "tones", [&](const Json& entry, const auto& here) { tone(entry, here); });
    each_object(value_at(json, "suspects"), {}, [&](const Json& entry, const auto&) { suspect(entry); });
    each_object(value_at(json, "rivals"), "rivals", [&](const Json& entry, const auto& here) { rival(entry, here); });
    findings_.undeclared_probability = probability_at(json, "undeclared_probability");
    findings_.states_left = texts(value_at(json, "states_left"));
    each_object(value_at(json, "combs"), {}, [&](const Json& entry, const auto&) { comb(entry); });  // older: none
    each_object(value_at(json, "undeclared"), {}, [&](const Json& entry, const auto&) { undeclared(entry); });
    each_object(value_at(json, "pulses"), {}, [&](const Json& entry, const auto&) { pulse(entry); });  // the same
    findings_.verdict = word_at(json, "verdict", verdict_words, Verdict::unknown, {});
    if (const Json& card = value_at(json, "sound_card"); card.is_object()) {
        const auto error_ppm = [&](const char* key) { return bounded(real_at(card, key), -1e6, 1e6, 0.0); };
        findings_.card_error_ppm = error_ppm("reads_ppm_high");
        findings_.card_error_ppm_sd = error_ppm("ppm_sd");
        findings_.card_error_from = texts(value_at(card, "from"));
    }
    findings_.notices = texts(value_at(json, "notices"));  // older versions stored none
    findings_.outcomes = texts(value_at(json, "outcomes"));
    each_object(value_at(json, "next"), "next", [&](const Json& entry, const auto& here) { experiment(entry, here); });
    if (error_) return *error_;
    if (cut_ && !findings_.unit.takes.empty())
        findings_.unit.takes[0].found.notices.push_back(
            "too much: the stored findings have more than " + std::to_string(most_entries) +
            " entries, and the rest is not shown. Look at them with 'tattletone logbook check'.");
    return std::move(findings_);
}

}  // namespace

Result<Findings> findings_of_json(std::string_view text) {
    if (auto error = TextJudge::judge(text)) return *error;
    const Json json = Json::parse(text, nullptr, false);
    if (!json.is_object()) return Error{"", "this is no object", "Findings begin with { and end with }"};
    return FindingsReader().read(json);
}

}  // namespace tattletone::match
