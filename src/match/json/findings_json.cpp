#include "match/json/findings_json.h"

#include <algorithm>

#include "base/text/number.h"
#include "match/experiments/experiments.h"
#include "match/json/printed_decimals.h"
#include "match/words.h"

namespace tattletone::match {
namespace {

constexpr int level_decimals = 1;
constexpr int share_decimals = 3;
constexpr int probability_decimals = 4;

void write_recording(base::JsonWriter& json, const tones::Take& take, const char* role) {
    json.open('{');
    json.key("path").text(take.path);
    json.key("state").text_or_null(take.state);
    json.key("spot").text_or_null(take.spot);
    json.key("sample_rate_hz").whole_or_real(take.found.sample_rate_hz, 3);
    json.key("seconds").real(take.found.seconds, 3);
    json.key("usable_band_hz").open('[');
    json.whole_or_real(take.found.usable.low_hz, 1).whole_or_real(take.found.usable.high_hz, 1).close(']');
    json.key("notices").texts(take.found.notices).key("changed").open('[');
    for (const tones::Change& change : take.changes)
        if (change.hz > 0.0) json.open('{').key("rate").text(change.what).key("hz").real(change.hz, 4).close('}');
    json.close(']').key("off").open('[');
    for (const tones::Change& change : take.changes)
        if (change.hz <= 0.0) json.text(change.what);
    json.close(']').key("role").text(role).close('}');
}

// A level, or that above which it would have been heard.
template <class Level>
void write_level(base::JsonWriter& json, const Level& level) {
    if (level.heard)
        json.key("level_dbfs").real(level.level_dbfs, level_decimals);
    else
        json.key("below_dbfs").real(level.below_dbfs, level_decimals);
}

void write_heard_in(base::JsonWriter& json, const tones::HeardIn& heard) {
    json.open('{').key("recording").integer(heard.take);
    write_level(json, heard);
    if (heard.heard) json.key("tone_to_noise_db").real(heard.tone_to_noise_db, level_decimals);
    json.close('}');
}

void write_spots(base::JsonWriter& json, const SpotComparison& spots) {
    json.open('{').key("levels").open('[');
    for (const SpotLevel& level : spots.levels) {
        json.open('{').key("spot").text(level.spot);
        write_level(json, level);
        if (level.heard) json.key("level_sd_db").real(level.level_sd_db, level_decimals);
        json.close('}');
    }
    json.close(']').key("loudest").text_or_null(spots.counts ? spots.levels[0].spot : "");
    json.key("difference_db").real(spots.difference_db, level_decimals);
    json.key("difference_sd_db").real(spots.difference_sd_db, level_decimals).close('}');
}

void write_explanation(base::JsonWriter& json, const Explanation& explanation, int decimals) {
    json.open('{');
    json.key("rate").text(explanation.rate);
    json.key("kind").text(kind_word(explanation.kind));
    json.key("order").integer(explanation.order);
    json.key("other").text_or_null(explanation.other);
    json.key("expected_hz").real(explanation.expected_hz, std::max(decimals, 4));
    json.key("offset_hz").real(explanation.offset_hz, decimals);
    json.key("probability").real(explanation.probability, probability_decimals);
    json.close('}');
}

void write_tone(base::JsonWriter& json, const tones::UnitTone& unit_tone, const Findings& findings) {
    const tones::Tone& tone = unit_tone.tone;
    const int decimals = hz_decimals(tone.hz_sd);
    json.open('{');
    json.key("id").integer(unit_tone.id);
    json.key("hz").real(tone.hz, decimals);
    json.key("hz_sd").real(tone.hz_sd, std::min(base::decimals_for(tone.hz_sd) + 2, 9));
    json.key("level_dbfs").real(tone.level_dbfs, level_decimals);
    json.key("tone_to_noise_db").real(tone.tone_to_noise_db, level_decimals);
    json.key("prominence_db").real(tone.prominence_db, level_decimals);
    json.key("prominent");
    tone.prominent ? json.boolean(*tone.prominent) : json.null();
    json.key("faint").boolean(tone.faint);
    json.key("comb").boolean(tone.comb);
    json.key("present").real(tone.present, share_decimals);
    json.key("start_hz").real(tone.start_hz, decimals);
    json.key("end_hz").real(tone.end_hz, decimals);
    const bool told = tone.drift_hz_sd > 0.0;
    const int of_drift = told ? drift_decimals(tone.drift_hz_sd) : 0;
    json.key("drift_hz");
    told ? json.real(tone.drift_hz, of_drift) : json.null();
    json.key("drift_hz_sd");
    told ? json.real(tone.drift_hz_sd, of_drift) : json.null();
    const bool bursts = tone.bursts_hz > 0.0;
    const int of_bursts = bursts ? drift_decimals(tone.bursts_hz_sd) : 0;
    json.key("bursts_hz");
    bursts ? json.real(tone.bursts_hz, of_bursts) : json.null();
    json.key("bursts_hz_sd");
    bursts ? json.real(tone.bursts_hz_sd, of_bursts) : json.null();
    json.key("origin").text(origin_word(tone.origin));
    json.key("heard_in").open('[');
    for (const tones::HeardIn& heard : unit_tone.heard_in) write_heard_in(json, heard);
    json.close(']').key("room_below_dbfs");
    unit_tone.room_below_dbfs ? json.real(*unit_tone.room_below_dbfs, level_decimals) : json.null();
    const auto& fall = unit_tone.far_fall;
    const auto level_or_null = [&](const char* key, bool known, double db) {
        json.key(key);
        known ? json.real(db, level_decimals) : json.null();
    };
    level_or_null("far_fall_db", fall && fall->heard, fall ? fall->db : 0.0);
    level_or_null("far_fall_db_sd", fall && fall->heard, fall ? fall->sd_db : 0.0);
    level_or_null("far_fall_at_least_db", fall && !fall->heard, fall ? fall->db : 0.0);
    level_or_null("level_swing_db", unit_tone.swing.has_value(), unit_tone.swing ? unit_tone.swing->db : 0.0);
    json.key("level_swing_places");
    unit_tone.swing ? json.real(unit_tone.swing->places, 1) : json.null();
    json.key("explained_by").open('[');
    const auto explained = findings.explained_by.find(unit_tone.id);
    if (explained != findings.explained_by.end())
        for (const Explanation& explanation : explained->second) write_explanation(json, explanation, decimals);
    json.close(']').key("spots");
    const auto spots = findings.spots.find(unit_tone.id);
    spots == findings.spots.end() ? static_cast<void>(json.null()) : write_spots(json, spots->second);
    json.close('}');
}

void write_figures(base::JsonWriter& json, const CombFigures& comb) {
    json.key("probability").real(comb.probability, probability_decimals);
    json.key("hz").real(comb.hz, hz_decimals(comb.hz_sd));
    json.key("hz_sd").real(comb.hz_sd, std::min(base::decimals_for(comb.hz_sd) + 2, 9));
    json.key("recording").integer(comb.recording);
    json.key("lines").integer(comb.lines);
    json.key("low_hz").real(comb.low_hz, 1).key("high_hz").real(comb.high_hz, 1);
    json.key("under_db").real(comb.under_db, level_decimals);
    json.key("log10_ratio").real(comb.log10_ratio, 1);
}

void write_comb(base::JsonWriter& json, const FoundComb& comb) {
    json.open('{').key("rate").text(comb.rate);
    write_figures(json, comb);
    json.close('}');
}

void write_undeclared(base::JsonWriter& json, const UndeclaredComb& comb) {
    json.open('{');
    write_figures(json, comb);
    json.key("tones").open('[');
    for (const int id : comb.tones) json.integer(id);
    json.close(']').close('}');
}

void write_pulse(base::JsonWriter& json, const PulsedRate& pulsed) {
    json.open('{');
    json.key("rate").text(pulsed.rate);
    json.key("hz").real(pulsed.hz, hz_decimals(pulsed.hz_sd));
    json.key("hz_sd").real(pulsed.hz_sd, std::min(base::decimals_for(pulsed.hz_sd) + 2, 9));
    json.key("lines").integer(pulsed.lines);
    json.key("odds").real(pulsed.odds, 1);
    json.close('}');
}

void write_suspect(base::JsonWriter& json, const Suspect& suspect) {
    json.open('{');
    json.key("rate").text(suspect.rate);
    json.key("probability").real(suspect.probability, probability_decimals);
    json.key("tones").open('[');
    for (const int id : suspect.tones) json.integer(id);
    json.close(']')
        .key("reasons")
        .texts(suspect.reasons)
        .key("against")
        .texts(suspect.against)
        .key("outside_tolerance")
        .boolean(suspect.outside_tolerance)
        .close('}');
}

void write_rival(base::JsonWriter& json, const Rival& rival) {
    json.open('{').key("kind").text(rival_word(rival.kind));
    json.key("probability").real(rival.probability, probability_decimals);
    json.key("hz");
    rival.hz > 0.0 ? json.real(rival.hz, 4) : json.null();
    json.key("hz_sd");
    rival.hz > 0.0 ? json.real(rival.hz_sd, 5) : json.null();
    json.key("lowest_hz").real(rival.lowest_hz, 1).key("highest_hz").real(rival.highest_hz, 1);
    json.key("tones").open('[');
    for (const int id : rival.tones) json.integer(id);
    json.close(']').key("rate").text_or_null(rival.rate).key("undeclared");
    rival.undeclared >= 0 ? json.integer(rival.undeclared) : json.null();
    json.key("words").text(rival.words).close('}');
}

}  // namespace

void write_outcomes_and_next(base::JsonWriter& json, const Findings& findings) {
    json.key("outcomes").texts(findings.outcomes).key("next").open('[');
    for (const Experiment& experiment : findings.next) {
        if (!tells_apart(experiment)) continue;
        json.open('{').key("trial").text(trial_word(experiment.kind));
        json.key("what").text_or_null(experiment.what);
        json.key("hz");
        experiment.hz > 0.0 && experiment.kind != Trial::longer ? json.real(experiment.hz, 4) : json.null();
        json.key("todo").text(experiment.todo);
        json.key("caution").text_or_null(experiment.caution);
        json.key("option").text_or_null(experiment.option);
        json.key("minutes").real(experiment.minutes, 1);
        json.key("bits").real(experiment.bits, 4);
        json.key("bits_per_minute").real(experiment.bits_per_minute(), 4);
        json.key("sure_now").real(experiment.sure_now, 4);
        json.key("sure_after").real(experiment.sure_after, 4);
        json.key("predictions").open('[');
        for (const Forecast& prediction : experiment.predictions) {
            json.open('{').key("rate").text_or_null(prediction.rate);
            json.key("probability").real(prediction.probability, 4);
            json.key("tone");
            prediction.tone > 0 ? json.integer(prediction.tone) : json.null();
            json.key("tone_hz").real(prediction.tone_hz, 4);
            json.key("fate").text(effect_word(prediction.effect));
            json.key("hz");
            prediction.effect == Forecast::Effect::moves ? json.real(prediction.hz, 4) : json.null();
            json.key("after").real(prediction.after, 4).close('}');
        }
        json.close(']').close('}');
    }
    json.close(']');
}

std::string findings_json(const Findings& findings, const base::JsonParts& parts) {
    base::JsonWriter json;
    json.open('{').key("format").text(findings_format);
    json.key("recordings").open('[');
    for (const tones::Take& take : findings.unit.takes) write_recording(json, take, take_role);
    for (const tones::Take& far : findings.unit.far) write_recording(json, far, far_role);
    json.close(']').key("room_recorded").boolean(findings.unit.room_given).key("tones").open('[');
    for (const tones::UnitTone& tone : findings.unit.tones) write_tone(json, tone, findings);
    json.close(']').key("suspects").open('[');
    for (const Suspect& suspect : findings.suspects) write_suspect(json, suspect);
    json.close(']').key("rivals").open('[');
    for (const Rival& rival : findings.rivals) write_rival(json, rival);
    json.close(']').key("undeclared_probability").real(findings.undeclared_probability, probability_decimals);
    json.key("states_left").texts(findings.states_left);
    json.key("verdict").text(verdict_word(findings.verdict));
    json.key("sound_card");
    if (findings.card_error_from.empty()) {
        json.null();
    } else {
        json.open('{').key("reads_ppm_high").real(findings.card_error_ppm, 2);
        json.key("ppm_sd").real(findings.card_error_ppm_sd, 2).key("from").texts(findings.card_error_from).close('}');
    }
    json.key("combs").open('[');
    for (const FoundComb& comb : findings.combs) write_comb(json, comb);
    json.close(']').key("undeclared").open('[');
    for (const UndeclaredComb& comb : findings.undeclared) write_undeclared(json, comb);
    json.close(']').key("pulses").open('[');
    for (const PulsedRate& pulsed : findings.pulses) write_pulse(json, pulsed);
    json.close(']').key("notices").texts(findings.notices);
    write_outcomes_and_next(json, findings);
    json.parts(parts).close('}');
    return json.str();
}

}  // namespace tattletone::match
