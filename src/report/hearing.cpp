#include "report/hearing.h"

#include <algorithm>
#include <cmath>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "match/explain/wording.h"
#include "report/audible.h"
#include "report/html/page_parts.h"
#include "report/text/wrap.h"
#include "report/words.h"

namespace tattletone::report {
namespace {

constexpr std::size_t most_tones = 6;
const std::vector<Listener> usual{{22.0, std::nullopt}, {55.0, std::nullopt}};

const std::vector<Listener>& listeners_of(const HearingOptions& chosen) {
    return chosen.listeners.empty() ? usual : chosen.listeners;
}

std::string db(double value) {
    return base::fixed(value, 0) + " dB";
}
std::string age_of(double age) {
    return base::trimmed(age, 1);
}

std::string who(const Listener& listener) {
    if (!listener.sex) return "a median listener of " + age_of(listener.age);
    return std::string(*listener.sex == cause::Sex::male ? "a median man of " : "a median woman of ") +
           age_of(listener.age);
}

struct Span {
    double low = 0.0, high = 0.0;
    Span operator-(const Span& other) const { return {low - other.low, high - other.high}; }
};

// What a median listener needs more than one of 18, for a woman and for a man; the same twice where the sex is said.
std::optional<Span> loss_of(double hz, const Listener& listener) {
    const auto woman = cause::age_loss_db(hz, listener.age, listener.sex.value_or(cause::Sex::female));
    const auto man = cause::age_loss_db(hz, listener.age, listener.sex.value_or(cause::Sex::male));
    if (!woman || !man) return std::nullopt;
    return Span{*woman, *man};
}

std::string span_words(const Span& span) {
    const double women = std::round(span.low), men = std::round(span.high);
    if (women == men) return db(women);
    return base::fixed(women, 0) + " (women) to " + base::fixed(men, 0) + " (men) dB";
}

bool reaches(double hz) {
    return hz >= cause::lowest_age_table_hz && hz <= cause::highest_age_table_hz;
}

// The best audible tones of the board, those of the first suspect first.
std::vector<const tones::UnitTone*> tones_asked(const match::Findings& findings, bool all) {
    std::vector<const tones::UnitTone*> tones = without_combs(tones_of(findings, true));
    const auto of_first = [&](const tones::UnitTone* tone) {
        return !findings.suspects.empty() &&
               std::count(findings.suspects[0].tones.begin(), findings.suspects[0].tones.end(), tone->id) > 0;
    };
    std::stable_sort(tones.begin(), tones.end(), [&](const tones::UnitTone* a, const tones::UnitTone* b) {
        if (of_first(a) != of_first(b)) return of_first(a);
        return audible_db(a->tone) > audible_db(b->tone);
    });
    tones.resize(std::min(tones.size(), all ? most_tones : 1));
    return tones;
}

// "a median listener of 55 needs about 7 (women) to 9 (men) dB more than one of 22", at a frequency in the tables.
std::string difference(double hz, std::vector<Listener> listeners) {
    std::sort(listeners.begin(), listeners.end(), [](const Listener& a, const Listener& b) { return a.age < b.age; });
    const Listener young =
        listeners.size() > 1 ? listeners.front() : Listener{cause::lowest_age, listeners.front().sex};
    const Listener& old = listeners.back();
    const auto young_loss = loss_of(hz, {young.age, old.sex}), old_loss = loss_of(hz, old);
    if (!young_loss || !old_loss)
        return "for these ages there is no table: it goes from " + age_of(cause::lowest_age) + " to " +
               age_of(cause::oldest_at(hz)) + " years here";
    const Span more = *old_loss - *young_loss;
    if (std::max(more.low, more.high) < 0.5) return who(old) + " hears it as well as one of " + age_of(young.age);
    return who(old) + " needs about " + span_words(more) + " more than one of " + age_of(young.age);
}

std::string by_age(const tones::Tone& tone, const HearingOptions& chosen) {
    const std::string at = base::short_hz(tone.hz);
    if (reaches(tone.hz)) return "At " + at + " " + difference(tone.hz, listeners_of(chosen)) + " (ISO 7029:2017).";
    if (tone.hz > cause::highest_age_table_hz)
        return "At " + at + " no table of ISO 7029:2017 holds: at their end, 8000 Hz, " +
               difference(cause::highest_age_table_hz, listeners_of(chosen)) +
               "; above, age counts for more still (common knowledge, no table).";
    return "At " + at + " the tables kept here do not hold: at their beginning, 1000 Hz, " +
           difference(cause::lowest_age_table_hz, listeners_of(chosen)) +
           "; below, age counts for less (common knowledge).";
}

std::string share_words(double level, double threshold, const cause::AgeSpread& spread, double median) {
    const double over = level - threshold;
    if (over >= spread.worst_tenth_db) return "nine in ten of them or more hear it";
    if (over >= median) return "half of them or more hear it";
    if (over >= spread.best_tenth_db) return "fewer than half of them hear it";
    return "fewer than one in ten of them hears it";
}

std::vector<std::string> by_level(const tones::Tone& tone, const HearingOptions& chosen) {
    const double level = tone.level_dbfs + *chosen.spl_at_0_dbfs;
    std::vector<std::string> sentences;
    std::string text = base::short_hz(tone.hz) + ": " + base::fixed(level, 0) + " dB SPL where the microphone was";
    const auto threshold = cause::hearing_threshold_db(tone.hz);
    if (!threshold) {
        sentences.push_back(text + "; no threshold of hearing is tabled there (ISO 389-7 ends at 18 kHz).");
        return sentences;
    }
    const double over = level - *threshold;
    text += ", " + db(std::abs(over)) + (over >= 0.0 ? " over" : " under") +
            " the median threshold of young adults in quiet, " + db(*threshold) + " SPL (ISO 389-7:2019).";
    sentences.push_back(text);
    for (const Listener& listener : listeners_of(chosen))
        for (const cause::Sex sex : {cause::Sex::female, cause::Sex::male}) {
            if (listener.sex.value_or(sex) != sex) continue;
            const auto loss = cause::age_loss_db(tone.hz, listener.age, sex);
            const auto spread = cause::age_spread(tone.hz, listener.age, sex);
            if (!loss || !spread) continue;
            sentences.push_back((sex == cause::Sex::female ? "Women of " : "Men of ") + age_of(listener.age) +
                                ": median threshold " + db(*threshold + *loss) + " SPL, eight in ten from " +
                                base::fixed(*threshold + spread->best_tenth_db, 0) + " to " +
                                db(*threshold + spread->worst_tenth_db) + "; " +
                                share_words(level, *threshold, *spread, *loss) + ".");
        }
    return sentences;
}

}  // namespace

void screen_prominence(match::Findings& findings, const HearingOptions& chosen) {
    if (!chosen.spl_at_0_dbfs) return;
    for (tones::UnitTone& unit_tone : findings.unit.tones) {
        tones::Tone& tone = unit_tone.tone;
        const auto threshold = cause::hearing_threshold_db(tone.hz);
        if (tone.prominent && threshold && tone.level_dbfs + *chosen.spl_at_0_dbfs < *threshold) tone.prominent = false;
    }
}

std::vector<std::string> hearing_sentences(const match::Findings& findings, const HearingOptions& chosen, bool full) {
    std::vector<std::string> sentences;
    const auto tones = tones_asked(findings, chosen.asked || full);
    if (tones.empty()) return sentences;
    for (const tones::UnitTone* tone : tones) {
        sentences.push_back(by_age(tone->tone, chosen));
        if (!chosen.spl_at_0_dbfs) continue;
        for (std::string& sentence : by_level(tone->tone, chosen)) sentences.push_back(std::move(sentence));
    }
    if (!chosen.asked && !full) return sentences;
    if (const auto all = without_combs(tones_of(findings, true)).size(); all > tones.size())
        sentences.push_back("These are the " + std::to_string(tones.size()) + " best audible of " +
                            std::to_string(all) + " tones, those of the first suspect before others.");
    if (chosen.spl_at_0_dbfs) {
        sentences.push_back("A full-scale sine is " + base::fixed(*chosen.spl_at_0_dbfs, 1) + " dB SPL (" +
                            chosen.calibrated_by +
                            "). That holds at the calibrator's frequency; elsewhere this microphone may be off by 3 dB "
                            "and more. Twice as far from a small board is about 6 dB less, and noise hides what quiet "
                            "would let be heard.");
        sentences.push_back(
            "The spread among people of one age is that of the 2000 edition of ISO 7029 about the median "
            "of 2017, kept from memory: within 4 dB where it could be checked.");
    } else {
        sentences.push_back(
            "Without a calibrated microphone (--calibration) only the difference between ages can be told, "
            "not who hears it.");
    }
    sentences.push_back("These are tables of people with healthy ears, no hearing test.");
    return sentences;
}

std::string age_sentence(double hz) {
    constexpr double worth_telling_db = 10.0;
    const double at = std::clamp(hz, cause::lowest_age_table_hz, cause::highest_age_table_hz);
    const auto young = loss_of(at, usual.front()), old = loss_of(at, usual.back());
    if (!young || !old) return {};
    const Span more = *old - *young;
    const double least = std::round(std::min(more.low, more.high)), most = std::round(std::max(more.low, more.high));
    if (most < worth_telling_db) return {};
    return "At " + age_of(usual.back().age) + " years one needs " +
           (least < most ? base::fixed(least, 0) + " to " : "") + db(most) + " more than at " +
           age_of(usual.front().age) + (hz > cause::highest_age_table_hz ? ", or still more." : ".");
}

std::string hearing_text(const match::Findings& findings, const HearingOptions& chosen, int columns, bool bold) {
    const auto sentences = hearing_sentences(findings, chosen);
    if (sentences.empty()) return {};
    std::string text = heading("Who hears it", columns, bold);
    for (const std::string& sentence : sentences) text += wrapped(sentence, columns, "  ", "    ");
    return text;
}

std::string page_hearing(const match::Findings& findings, const HearingOptions& chosen) {
    const auto sentences = hearing_sentences(findings, chosen, true);
    if (sentences.empty()) return {};
    std::string html = html_tag("h2", "Who hears it") + "<ul>\n";
    for (const std::string& sentence : sentences) html += html_tag("li", sentence);
    return html + "</ul>\n";
}

std::string hearing_json(const match::Findings& findings, const HearingOptions& chosen) {
    const auto real_or_null = [](base::JsonWriter& json, const char* key, const std::optional<double>& value) {
        json.key(key);
        value ? json.real(*value, 1) : json.null();
    };
    base::JsonWriter json;
    json.open('{').key("threshold_by").text("ISO 389-7:2019, free field");
    json.key("age_by").text("ISO 7029:2017, median");
    json.key("spread_by").text("ISO 7029:2000 about the median of 2017, from memory");
    real_or_null(json, "spl_at_0_dbfs", chosen.spl_at_0_dbfs);
    json.key("tones").open('[');
    for (const tones::UnitTone* tone : tones_of(findings, true)) {
        const double hz = tone->tone.hz;
        json.open('{').key("id").integer(tone->id);
        const auto threshold = cause::hearing_threshold_db(hz);
        real_or_null(json, "threshold_db_spl", threshold);
        real_or_null(
            json, "level_db_spl",
            chosen.spl_at_0_dbfs ? std::optional(tone->tone.level_dbfs + *chosen.spl_at_0_dbfs) : std::nullopt);
        json.key("listeners").open('[');
        for (const Listener& listener : listeners_of(chosen))
            for (const cause::Sex sex : {cause::Sex::female, cause::Sex::male}) {
                if (listener.sex.value_or(sex) != sex) continue;
                const auto loss = cause::age_loss_db(hz, listener.age, sex);
                const auto spread = cause::age_spread(hz, listener.age, sex);
                json.open('{').key("age").whole_or_real(listener.age, 1);
                json.key("sex").text(sex == cause::Sex::female ? "woman" : "man");
                real_or_null(json, "more_than_at_18_db", loss);
                real_or_null(json, "best_tenth_db", spread ? std::optional(spread->best_tenth_db) : std::nullopt);
                real_or_null(json, "worst_tenth_db", spread ? std::optional(spread->worst_tenth_db) : std::nullopt);
                json.close('}');
            }
        json.close(']').close('}');
    }
    json.close(']').close('}');
    return json.str();
}

}  // namespace tattletone::report
