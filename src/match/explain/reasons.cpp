#include "match/explain/reasons.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <set>

#include "match/comb/comb_words.h"
#include "match/explain/distance_reasons.h"
#include "match/explain/outcomes.h"
#include "match/explain/rivals.h"
#include "match/explain/wording.h"
#include "match/misread.h"

namespace tattletone::match {
namespace {

constexpr double surely_seen = 0.6;
constexpr double sure = 0.8;  // from here on a lone line in a wide window has other support
constexpr std::size_t most_missing_told = 4;
constexpr double tight_tolerance = 200e-6;
constexpr double pinned_sd = 30e-6;
constexpr double least_other_share = 0.05;
constexpr double header_slack = 3e-4;  // of a card and of what a header's rate is rounded to
constexpr double least_drift = 10e-6;  // a recorder's own clock may drift by less

class Reasoning {
  public:
    Reasoning(const Observations& observations, const tones::UnitTones& unit, const std::vector<Source>& sources,
              const JointPosterior& outcome, int index, const CardGrid& grid)
        : observations_(observations),
          unit_(unit),
          sources_(sources),
          outcome_(outcome),
          index_(index),
          source_(sources[static_cast<std::size_t>(index)]),
          found_(outcome.sources[static_cast<std::size_t>(index)]),
          weigher_(observations, source_, grid) {}

    Reasons all() {
        if (found_.best.empty()) return {};
        if (found_.hidden) {
            behind();
            return told();
        }
        if (comb_of(source_, found_)) {
            together();
            states();
            rivals();
            return told();
        }
        agreement();
        faint();
        drift();
        changes();
        spot();
        tell_distance(observations_, unit_, found_.best,
                      [this](std::string sentence, bool against) { say(std::move(sentence), against); });
        states();
        missing();
        weak_window();
        rivals();
        card();
        return told();
    }

  private:
    const board::Rate& rate(int index) const { return observations_.sheet->rates[static_cast<std::size_t>(index)]; }
    const board::Rate& own() const { return rate(source_.rate); }
    const ObservedTone& tone(const LineMatch& line_match) const {
        return observations_.tones[static_cast<std::size_t>(line_match.tone)];
    }

    void say(std::string sentence, bool against = false) {
        (against ? against_ : sentences_).push_back(std::move(sentence));
    }

    Reasons told() {
        sentences_.insert(sentences_.end(), against_.begin(), against_.end());
        return {std::move(sentences_), std::move(against_)};
    }

    std::string words_of(const LineMatch& line_match) const {
        LineName name;
        name.order = line_match.order;
        if (line_match.line >= 0) {
            const ExpectedLine& line = source_.lines[static_cast<std::size_t>(line_match.line)];
            name.carrier = line.carrier;
            if (line.other >= 0) name.other = rate(line.other).full_name;
        }
        return line_text(board::about(line_match.kind).in_reasons, name);
    }

    /// "1st, 2nd and 5th harmonic", or the lines one by one where some are no harmonics.
    std::string lines() const {
        Assignment sorted = found_.best;
        std::sort(sorted.begin(), sorted.end(), [](const LineMatch& a, const LineMatch& b) {
            return a.kind != b.kind ? a.kind < b.kind : a.order < b.order;
        });
        const bool harmonics = std::all_of(sorted.begin(), sorted.end(),
                                           [](const LineMatch& p) { return p.kind == board::LineKind::harmonic; });
        std::vector<std::string> words;
        for (const LineMatch& line_match : sorted)
            words.push_back(harmonics ? ordinal(line_match.order) : words_of(line_match));
        // Of a rate that was set to another value the same line stands in both places.
        words.erase(std::unique(words.begin(), words.end()), words.end());
        return joined(words) + (harmonics ? " harmonic" : "");
    }

    void agreement() {
        const auto count = found_.best.size();
        if (source_.kind == SourceKind::wandering) return wandering(count);
        const std::string deviation = as_relative(found_.x, true);
        const std::string tolerance = as_relative(source_.tolerance, false);
        std::string sentence =
            count == 1 ? "one line (" + words_of(found_.best[0]) + ", heard at " + as_hz(tone(found_.best[0]).hz) +
                             ") deviates by " + deviation
                       : std::to_string(count) + " lines (" + lines() + ") agree on one deviation of " + deviation;
        if (keeps_tolerance(source_, found_, outcome_) < 0.5) {
            const std::string setting = likeliest_wrong_setting(source_.prior, found_.x);
            const std::string held =
                held_if_off_by(unit_.takes[0].found.sample_rate_hz, found_.x, source_.tolerance + header_slack);
            const std::string so = !held.empty()
                                       ? ", as if the recording held " + held +
                                             " whatever its header says: check how it was saved, then the setting"
                                   : setting.empty() ? "; is the setting taking effect?"
                                                     : ", as with " + setting + "; is the setting taking effect?";
            say((count == 1 ? "one line (" + words_of(found_.best[0]) + ") fits only at "
                            : std::to_string(count) + " lines (" + lines() + ") fit only at ") +
                    deviation + ": outside the declared " + tolerance + so,
                true);
            return;
        }
        if (std::abs(found_.x) <= source_.tolerance)
            sentence += ", inside the declared " + tolerance;
        else
            sentence += ", inside the declared " + tolerance + " once the sound card's own error is allowed for (" +
                        as_relative(outcome_.card_mean, true) + ")";
        say(sentence);
    }

    /// Of a comb: all its lines at once.
    void together() {
        say(comb_words(found_comb(*comb_of(source_, found_), found_, *observations_.sheet, unit_), found_, source_));
        const auto alone =
            std::count_if(found_.best.begin(), found_.best.end(), [](const LineMatch& m) { return m.comb < 0; });
        if (alone > 0)
            say(std::to_string(alone) + (alone == 1 ? " tone that is" : " tones that are") +
                " found alone agree with that deviation");
    }

    void faint() {
        const auto count = std::count_if(found_.best.begin(), found_.best.end(),
                                         [&](const LineMatch& line_match) { return tone(line_match).faint; });
        if (count == 0) return;
        const bool all = count == static_cast<std::ptrdiff_t>(found_.best.size());
        const std::string which = all ? (count == 1 ? "it is" : "they are")
                                      : std::to_string(count) + (count == 1 ? " of them is" : " of them are");
        say(which + " fainter than a search of the whole band can tell from noise, and " +
            (count == 1 ? "counts" : "count") + " because the declared rate says where to look");
    }

    // Of lines fitted to the whole recording the clearest tells it.
    void drift() {
        if (source_.kind != SourceKind::fixed) return;
        const ObservedTone* clearest = nullptr;
        for (const LineMatch& line_match : found_.best)
            if (tone(line_match).drift_sd > 0.0 && (!clearest || tone(line_match).drift_sd < clearest->drift_sd))
                clearest = &tone(line_match);
        if (!clearest || clearest->drift_sd > least_drift) return;
        const double share = clearest->drift;
        if (std::abs(share) > std::max(least_drift, 4.0 * clearest->drift_sd))
            say("it drifts by " + as_relative(share, true) + " in the recording, " +
                    (source_.loose ? "as a rate timed by a resistor and a capacitor does and a crystal's seldom"
                                   : "which a crystal or a resonator seldom does"),
                !source_.loose);
        else if (source_.loose && !source_.may_resonate && std::abs(share) < 3.0 * clearest->drift_sd)
            say("it keeps its frequency to " + as_relative(2.0 * clearest->drift_sd, false) +
                    " in the recording, as a crystal's rate does and one timed by a resistor and a capacitor seldom",
                true);
    }

    void wandering(std::size_t count) {
        const ObservedTone& first = tone(found_.best[0]);
        const tones::Tone& path = unit_.tones[static_cast<std::size_t>(found_.best[0].tone)].tone;
        const std::string window = "the declared " + as_declared(own().hz_min) + " to " + as_declared(own().hz_max);
        if (first.steady) {
            const bool one = count == 1;
            say((one ? "one line (" + words_of(found_.best[0]) + ")"
                     : std::to_string(count) + " lines (" + lines() + ")") +
                    (one ? " puts" : " put") + " the rate at " + as_hz(std::exp(found_.x)) + ", inside " + window +
                    ", but steady, and a rate that follows the load seldom is",
                true);
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
        for (std::size_t take = 0; take < observations_.state.size(); ++take) {
            const std::string& state = unit_.takes[take].state;
            if (state.empty() || observations_.setting_of(take).off[static_cast<std::size_t>(source_.rate)]) continue;
            bool is_heard = false, can_tell = false;
            for (const LineMatch& line_match : found_.best) {
                is_heard = is_heard || tone(line_match).heard[take] == Heard::yes;
                can_tell = can_tell || tone(line_match).heard[take] != Heard::cannot_tell;
            }
            if (!can_tell) continue;
            const bool runs = source_.active[take] > 0.0;
            (is_heard ? (runs ? heard : heard_rests) : (runs ? silent_runs : silent_rests)).insert("'" + state + "'");
        }
        const auto list = [](const std::set<std::string>& names) {
            return joined(std::vector<std::string>(names.begin(), names.end()));
        };
        if (!heard.empty() && !silent_rests.empty())
            say("heard in " + list(heard) + ", where it runs, and not in " + list(silent_rests) +
                ", where it does not");
        if (!heard_rests.empty())
            say("heard in " + list(heard_rests) + ", where the sheet says that it does not run", true);
        if (!silent_runs.empty())
            say("not heard in " + list(silent_runs) +
                    ", where it runs too and would have been found as loud as elsewhere",
                true);
    }

    void changes() {
        for (std::size_t take = 0; take < observations_.state.size(); ++take) {
            if (!observations_.setting_of(take).off[static_cast<std::size_t>(source_.rate)]) continue;
            if (std::any_of(found_.best.begin(), found_.best.end(),
                            [&](const LineMatch& line_match) { return tone(line_match).heard[take] == Heard::yes; }))
                say("heard in " + unit_.takes[take].found.origin + ", where it is said to be off: was it?", true);
        }
        for (const Outcome& outcome : outcomes_of(*observations_.sheet, unit_, observations_.parameters))
            if (outcome.rate == source_.rate) say(outcome.sentence, !outcome.came_true);
    }

    void spot() {
        if (source_.spot.empty()) return;
        const auto loudest = std::max_element(
            found_.best.begin(), found_.best.end(),
            [&](const LineMatch& a, const LineMatch& b) { return tone(a).level_dbfs < tone(b).level_dbfs; });
        const SpotComparison& spots = observations_.spots[static_cast<std::size_t>(loudest->tone)];
        const double factor = spot_odds_factor(source_.spot, spots, observations_.parameters);
        if (factor == 1.0) return;
        const bool own = same_spot(spots.levels[0].spot, source_.spot);
        char odds[32];
        std::snprintf(odds, sizeof odds, "%.2g", factor);
        say(std::string(own ? "loudest over its own spot '" : "its own spot '") + source_.spot + "'" +
                (own ? "" : " is not the loudest") + ", which multiplies its odds by " + odds,
            factor < 1.0);
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
            sentence = std::to_string(all) +
                       " harmonics would probably have been seen and are missing, among them the " + joined(orders);
        say(sentence, true);
    }

    void weak_window() {
        if (found_.best.size() > 1 || found_.sings > sure) return;
        if (source_.kind == SourceKind::wandering)
            say("a range as wide as " + as_declared(own().hz_min) + " to " + as_declared(own().hz_max) +
                    " catches a stray tone easily",
                true);
        else if (source_.loose)
            say("a window of ±" + as_relative(source_.tolerance, false) + " around " +
                    as_declared(source_.lines[static_cast<std::size_t>(found_.best[0].line)].at_zero_hz) +
                    " catches a stray tone easily",
                true);
    }

    void rivals() {
        for (const LineMatch& line_match : found_.best) {
            double declared = 0.0;
            bool told = false;
            for (const Claim& claim : outcome_.claims) {
                if (claim.tone != line_match.tone) continue;
                const Source& other = sources_[static_cast<std::size_t>(claim.source)];
                if (other.rate >= 0) declared += claim.probability;
                if (claim.source == index_ || other.rate < 0 || claim.probability < 0.05 || told) continue;
                char share[16];
                std::snprintf(share, sizeof share, "%.2f", claim.probability);
                say(rate(other.rate).full_name + " explains the same tone at " + as_hz(tone(line_match).hz) +
                        " (probability " + share + ")",
                    true);
                told = true;
            }
            if (declared < 0.75) {
                say("the tone at " + as_hz(tone(line_match).hz) + " may be " + undeclared(line_match.tone), true);
                return;
            }
            if (told) return;
        }
    }

    /// What a tone may be that no declared rate makes.
    std::string undeclared(int tone) const {
        const ObservedTone& observed = observations_.tones[static_cast<std::size_t>(tone)];
        if (observed.faint) return "noise";
        double most = least_other_share;
        Neighbour neighbour = Neighbour::none;
        for (const Claim& claim : outcome_.claims) {
            const Source& other = sources_[static_cast<std::size_t>(claim.source)];
            if (claim.tone != tone || other.rate >= 0 || claim.probability < most) continue;
            most = claim.probability;
            neighbour = other.neighbour;
        }
        if (neighbour != Neighbour::none) return "that of " + rival_name(neighbour);
        if (observed.elsewhere_share > 0.5 && observed.elsewhere == ElsewhereKind::mains_fed)
            return "that of a charger or a supply on the mains";
        return "one that nobody declared";
    }

    void card() {
        if (source_.kind != SourceKind::fixed || source_.tolerance > tight_tolerance) return;
        std::vector<std::string> by;
        for (const int other : pinning(observations_, sources_, outcome_))
            if (other != index_) by.push_back(rate(sources_[static_cast<std::size_t>(other)].rate).full_name);
        if (by.empty()) return;
        say("the sound card's clock error is pinned to " + as_relative(outcome_.card_mean, true) + " ± " +
            as_relative(outcome_.card_sd, false) + " together with " + joined(by));
    }

    void behind() {
        std::vector<std::string> lines;
        for (const LineMatch& line_match : found_.best) lines.push_back(as_hz(tone(line_match).hz));
        say("its " + std::string(lines.size() == 1 ? "line" : "lines") + " at " + joined(lines) +
                " would lie behind what another rate explains, so it may sing unnoticed",
            true);
        rivals();
    }

    const Observations& observations_;
    const tones::UnitTones& unit_;
    const std::vector<Source>& sources_;
    const JointPosterior& outcome_;
    const int index_;
    const Source& source_;
    const SourcePosterior& found_;
    Weigher weigher_;
    std::vector<std::string> sentences_, against_;
};

}  // namespace

std::vector<int> pinning(const Observations& observations, const std::vector<Source>& sources,
                         const JointPosterior& outcome) {
    std::vector<int> by;
    if (!observations.sheet || outcome.card_sd > pinned_sd) return by;
    for (std::size_t i = 0; i < sources.size(); ++i) {
        const bool tight =
            sources[i].rate >= 0 && sources[i].kind == SourceKind::fixed && sources[i].tolerance <= tight_tolerance;
        if (tight && outcome.sources[i].sings > 0.5 && !outcome.sources[i].hidden) by.push_back(static_cast<int>(i));
    }
    return by;
}

double keeps_tolerance(const Source& source, const SourcePosterior& found, const JointPosterior& outcome) {
    return share_inside(source.prior, found.x, std::hypot(found.x_sd, outcome.card_sd), outcome.card_mean);
}

Reasons reasons_for(const Observations& observations, const tones::UnitTones& unit, const std::vector<Source>& sources,
                    const JointPosterior& outcome, int source, const CardGrid& grid) {
    return Reasoning(observations, unit, sources, outcome, source, grid).all();
}

}  // namespace tattletone::match
