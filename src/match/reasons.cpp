#include "match/reasons.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <set>

#include "match/outcomes.h"
#include "match/wording.h"

namespace tattletone {
namespace {

constexpr double surely_seen = 0.6;
constexpr double sure = 0.8;             // from here on a lone line in a wide window has other support
constexpr std::size_t most_missing_told = 4;
constexpr double tight_tolerance = 200e-6;
constexpr double pinned_sd = 30e-6;
constexpr double least_drift = 10e-6;    // a recorder's own clock may drift by less

class Reasoning {
  public:
    Reasoning(const Scene& scene, const UnitTones& unit, const std::vector<Singer>& singers,
              const JointOutcome& outcome, int index, const CardGrid& grid)
        : scene_(scene), unit_(unit), singers_(singers), outcome_(outcome), index_(index),
          singer_(singers[static_cast<std::size_t>(index)]),
          found_(outcome.singers[static_cast<std::size_t>(index)]), weigher_(scene, singer_, grid) {}

    std::vector<std::string> all() {
        if (found_.best.empty()) return {};
        if (found_.hidden) {
            behind();
            return std::move(sentences_);
        }
        agreement();
        faint();
        drift();
        changes();
        spot();
        states();
        missing();
        weak_window();
        rivals();
        card();
        return std::move(sentences_);
    }

  private:
    const Rate& rate(int index) const { return scene_.sheet->rates[static_cast<std::size_t>(index)]; }
    const Rate& own() const { return rate(singer_.rate); }
    const SceneTone& tone(const Pair& pair) const { return scene_.tones[static_cast<std::size_t>(pair.tone)]; }

    void say(std::string sentence) { sentences_.push_back(std::move(sentence)); }

    std::string words_of(const Pair& pair) const {
        if (pair.place < 0) return line_words(pair.kind, pair.order, 0, "");
        const Place& place = singer_.places[static_cast<std::size_t>(pair.place)];
        const std::string other = place.other >= 0 ? rate(place.other).full_name : "";
        return line_words(place.kind, place.order, place.carrier, other);
    }

    /// "1st, 2nd and 5th harmonic", or the lines one by one where some are no harmonics.
    std::string lines() const {
        Mode sorted = found_.best;
        std::sort(sorted.begin(), sorted.end(), [](const Pair& a, const Pair& b) {
            return a.kind != b.kind ? a.kind < b.kind : a.order < b.order;
        });
        const bool harmonics = std::all_of(sorted.begin(), sorted.end(),
                                           [](const Pair& p) { return p.kind == LineKind::harmonic; });
        std::vector<std::string> words;
        for (const Pair& pair : sorted) words.push_back(harmonics ? ordinal(pair.order) : words_of(pair));
        return joined(words) + (harmonics ? " harmonic" : "");
    }

    void agreement() {
        const auto count = found_.best.size();
        if (singer_.kind == SingerKind::wandering) return wandering(count);
        const std::string deviation = as_relative(found_.x, true);
        const std::string tolerance = as_relative(singer_.tolerance, false);
        std::string sentence =
            count == 1 ? "one line (" + words_of(found_.best[0]) + ", heard at " + as_hz(tone(found_.best[0]).hz) +
                             ") deviates by " + deviation
                       : std::to_string(count) + " lines (" + lines() + ") agree on one deviation of " + deviation;
        if (keeps_tolerance(singer_, found_, outcome_) < 0.5) {
            say((count == 1 ? "one line (" + words_of(found_.best[0]) + ") fits only at "
                            : std::to_string(count) + " lines (" + lines() + ") fit only at ") +
                deviation + ": outside the declared " + tolerance + "; is the setting taking effect?");
            return;
        }
        if (std::abs(found_.x) <= singer_.tolerance)
            sentence += ", inside the declared " + tolerance;
        else
            sentence += ", inside the declared " + tolerance + " once the sound card's own error is allowed for (" +
                        as_relative(outcome_.card_mean, true) + ")";
        say(sentence);
    }

    void faint() {
        const auto count = std::count_if(found_.best.begin(), found_.best.end(),
                                         [&](const Pair& pair) { return tone(pair).faint; });
        if (count == 0) return;
        const bool all = count == static_cast<std::ptrdiff_t>(found_.best.size());
        const std::string which = all ? (count == 1 ? "it is" : "they are")
                                      : std::to_string(count) + (count == 1 ? " of them is" : " of them are");
        say(which + " fainter than a search of the whole band can tell from noise, and " + (count == 1 ? "counts" : "count") +
            " because the declared rate says where to look");
    }

    // Of lines fitted to the whole recording the clearest tells it.
    void drift() {
        if (singer_.kind != SingerKind::fixed) return;
        const SceneTone* clearest = nullptr;
        for (const Pair& pair : found_.best)
            if (tone(pair).drift_sd > 0.0 && (!clearest || tone(pair).drift_sd < clearest->drift_sd)) clearest = &tone(pair);
        if (!clearest || clearest->drift_sd > least_drift) return;
        const double share = clearest->drift;
        if (std::abs(share) > std::max(least_drift, 4.0 * clearest->drift_sd))
            say("it drifts by " + as_relative(share, true) + " in the recording, " +
                (singer_.loose ? "as a rate timed by a resistor and a capacitor does and a crystal's seldom"
                               : "which a crystal or a resonator seldom does"));
        else if (singer_.loose && !singer_.may_resonate && std::abs(share) < 3.0 * clearest->drift_sd)
            say("it keeps its frequency to " + as_relative(2.0 * clearest->drift_sd, false) +
                " in the recording, as a crystal's rate does and one timed by a resistor and a capacitor seldom");
    }

    void wandering(std::size_t count) {
        const SceneTone& first = tone(found_.best[0]);
        const Tone& path = unit_.tones[static_cast<std::size_t>(found_.best[0].tone)].tone;
        const std::string window = "the declared " + as_hz(own().hz_min) + " to " + as_hz(own().hz_max);
        if (first.steady) {
            const bool one = count == 1;
            say((one ? "one line (" + words_of(found_.best[0]) + ")" : std::to_string(count) + " lines (" + lines() + ")") +
                (one ? " puts" : " put") + " the rate at " + as_hz(std::exp(found_.x)) + ", inside " + window +
                ", but steady, and a rate that follows the load seldom is");
            return;
        }
        const std::string moves = "from " + as_hz(path.start_hz) + " to " + as_hz(path.end_hz);
        if (count == 1)
            say("one line (" + words_of(found_.best[0]) + ") wanders " + moves + ", as a rate inside " + window +
                " does");
        else
            say(std::to_string(count) + " lines (" + lines() + ") wander along one path, the lowest " + moves +
                ", inside " + window);
    }

    void states() {
        std::set<std::string> heard, silent_runs, silent_rests, heard_rests;
        for (std::size_t take = 0; take < scene_.state.size(); ++take) {
            const std::string& state = unit_.takes[take].state;
            if (state.empty() || scene_.setting_of(take).off[static_cast<std::size_t>(singer_.rate)]) continue;
            bool is_heard = false, can_tell = false;
            for (const Pair& pair : found_.best) {
                is_heard = is_heard || tone(pair).heard[take] == Heard::yes;
                can_tell = can_tell || tone(pair).heard[take] != Heard::cannot_tell;
            }
            if (!can_tell) continue;
            const bool runs = singer_.active[take] > 0.0;
            (is_heard ? (runs ? heard : heard_rests) : (runs ? silent_runs : silent_rests)).insert("'" + state + "'");
        }
        const auto list = [](const std::set<std::string>& names) {
            return joined(std::vector<std::string>(names.begin(), names.end()));
        };
        if (!heard.empty() && !silent_rests.empty())
            say("heard in " + list(heard) + ", where it runs, and not in " + list(silent_rests) + ", where it does not");
        if (!heard_rests.empty())
            say("heard in " + list(heard_rests) + ", where the sheet says that it does not run");
        if (!silent_runs.empty())
            say("not heard in " + list(silent_runs) + ", where it runs too and would have been found as loud as elsewhere");
    }

    void changes() {
        for (std::size_t take = 0; take < scene_.state.size(); ++take) {
            if (!scene_.setting_of(take).off[static_cast<std::size_t>(singer_.rate)]) continue;
            if (std::any_of(found_.best.begin(), found_.best.end(),
                            [&](const Pair& pair) { return tone(pair).heard[take] == Heard::yes; }))
                say("heard in " + unit_.takes[take].found.origin + ", where it is said to be off: was it?");
        }
        for (const Outcome& outcome : outcomes_of(*scene_.sheet, unit_, scene_.parameters))
            if (outcome.rate == singer_.rate) say(outcome.sentence);
    }

    void spot() {
        if (singer_.spot.empty()) return;
        const auto loudest = std::max_element(
            found_.best.begin(), found_.best.end(),
            [&](const Pair& a, const Pair& b) { return tone(a).level_dbfs < tone(b).level_dbfs; });
        const SpotComparison& spots = scene_.spots[static_cast<std::size_t>(loudest->tone)];
        const double factor = spot_odds_factor(singer_.spot, spots, scene_.parameters);
        if (factor == 1.0) return;
        const bool own = same_spot(spots.levels[0].spot, singer_.spot);
        char odds[32];
        std::snprintf(odds, sizeof odds, "%.2g", factor);
        say(std::string(own ? "loudest over its own spot '" : "its own spot '") + singer_.spot + "'" +
            (own ? "" : " is not the loudest") + ", which multiplies its odds by " + odds);
    }

    void missing() {
        auto lines = weigher_.missing(found_.best, surely_seen);
        if (lines.empty()) return;
        std::sort(lines.begin(), lines.end(), [](const auto& a, const auto& b) { return a.seen > b.seen; });
        const auto all = lines.size();
        lines.resize(std::min(all, most_missing_told));
        std::sort(lines.begin(), lines.end(), [](const auto& a, const auto& b) { return a.order < b.order; });
        std::vector<std::string> orders;
        for (const auto& line : lines) orders.push_back(ordinal(line.order));
        const bool one = all == 1;
        std::string sentence = "the " + joined(orders) + " harmonic would probably have been seen and " +
                               (one ? "is missing" : "are missing");
        if (all > most_missing_told)
            sentence = std::to_string(all) + " harmonics would probably have been seen and are missing, among them the " +
                       joined(orders);
        say(sentence);
    }

    void weak_window() {
        if (found_.best.size() > 1 || found_.sings > sure) return;
        if (singer_.kind == SingerKind::wandering)
            say("a range as wide as " + as_hz(own().hz_min) + " to " + as_hz(own().hz_max) +
                " catches a stray tone easily");
        else if (singer_.loose)
            say("a window of ±" + as_relative(singer_.tolerance, false) + " around " +
                as_hz(singer_.places[static_cast<std::size_t>(found_.best[0].place)].at_zero_hz) +
                " catches a stray tone easily");
    }

    void rivals() {
        for (const Pair& pair : found_.best) {
            double declared = 0.0;
            bool told = false;
            for (const Claim& claim : outcome_.claims) {
                if (claim.tone != pair.tone) continue;
                const Singer& other = singers_[static_cast<std::size_t>(claim.singer)];
                if (other.rate >= 0) declared += claim.probability;
                if (claim.singer == index_ || other.rate < 0 || claim.probability < 0.05 || told) continue;
                char share[16];
                std::snprintf(share, sizeof share, "%.2f", claim.probability);
                say(rate(other.rate).full_name + " explains the same tone at " + as_hz(tone(pair).hz) +
                    " (probability " + share + ")");
                told = true;
            }
            if (declared < 0.75) {
                say("the tone at " + as_hz(tone(pair).hz) +
                    (tone(pair).faint ? " may be noise" : " may be one that nobody declared"));
                return;
            }
            if (told) return;
        }
    }

    void card() {
        if (singer_.kind != SingerKind::fixed || singer_.tolerance > tight_tolerance) return;
        std::vector<std::string> by;
        for (const int other : pinning(scene_, singers_, outcome_))
            if (other != index_) by.push_back(rate(singers_[static_cast<std::size_t>(other)].rate).full_name);
        if (by.empty()) return;
        say("the sound card's clock error is pinned to " + as_relative(outcome_.card_mean, true) + " ± " +
            as_relative(outcome_.card_sd, false) + " together with " + joined(by));
    }

    void behind() {
        std::vector<std::string> places;
        for (const Pair& pair : found_.best) places.push_back(as_hz(tone(pair).hz));
        say("its " + std::string(places.size() == 1 ? "line" : "lines") + " at " + joined(places) +
            " would lie behind what another rate explains, so it may sing unnoticed");
        rivals();
    }

    const Scene& scene_;
    const UnitTones& unit_;
    const std::vector<Singer>& singers_;
    const JointOutcome& outcome_;
    const int index_;
    const Singer& singer_;
    const SingerOutcome& found_;
    Weigher weigher_;
    std::vector<std::string> sentences_;
};

}  // namespace

std::vector<int> pinning(const Scene& scene, const std::vector<Singer>& singers, const JointOutcome& outcome) {
    std::vector<int> by;
    if (!scene.sheet || outcome.card_sd > pinned_sd) return by;
    for (std::size_t i = 0; i < singers.size(); ++i) {
        const bool tight = singers[i].kind == SingerKind::fixed && singers[i].tolerance <= tight_tolerance;
        if (tight && outcome.singers[i].sings > 0.5 && !outcome.singers[i].hidden) by.push_back(static_cast<int>(i));
    }
    return by;
}

double keeps_tolerance(const Singer& singer, const SingerOutcome& found, const JointOutcome& outcome) {
    return share_inside(singer.prior, found.x, std::hypot(found.x_sd, outcome.card_sd), outcome.card_mean);
}

std::vector<std::string> reasons_for(const Scene& scene, const UnitTones& unit,
                                     const std::vector<Singer>& singers, const JointOutcome& outcome,
                                     int singer, const CardGrid& grid) {
    return Reasoning(scene, unit, singers, outcome, singer, grid).all();
}

}  // namespace tattletone
