#include "cause/mechanism.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "base/text/printable.h"
#include "match/explain/supply_reason.h"

namespace tattletone::cause {
namespace {

constexpr double audible_hz = 20000.0;
constexpr double named_from = 0.5;

struct Evidence {
    const tones::UnitTone* at_f = nullptr;
    const tones::UnitTone* at_2f = nullptr;
    bool f_would_show = false;  // no line at f, and one as loud as that at 2f would have been found
    const tones::UnitTone* moving = nullptr;
    bool any = false;
};

bool moves(const tones::Tone& tone) {
    return !tone.steady && std::abs(tone.end_hz - tone.start_hz) > std::max(6.0 * tone.hz_sd, 1e-3 * tone.hz);
}

bool would_show(const match::Findings& findings, double hz, double level_dbfs) {
    return std::any_of(findings.unit.takes.begin(), findings.unit.takes.end(), [&](const tones::Take& take) {
        const tones::Tones& found = take.found;
        return !found.floor.empty() && hz > found.usable.low_hz && hz < found.usable.high_hz &&
               tones::floor_at(found, hz).steady_above_dbfs < level_dbfs;
    });
}

bool near(double hz, double other_hz) {
    return std::abs(hz - other_hz) < 1e-3 * other_hz;
}

Evidence evidence_of(const match::Findings& findings, const match::Suspect& suspect, bool wanders) {
    Evidence evidence;
    std::vector<const tones::UnitTone*> tones;
    for (const tones::UnitTone& tone : findings.unit.tones) {
        const auto explained = findings.explained_by.find(tone.id);
        if (explained == findings.explained_by.end()) continue;
        for (const match::Explanation& explanation : explained->second) {
            if (explanation.rate != suspect.rate || explanation.probability < named_from) continue;
            evidence.any = true;
            tones.push_back(&tone);
            if (evidence.moving == nullptr && moves(tone.tone)) evidence.moving = &tone;
            if (explanation.kind != board::LineKind::harmonic) continue;
            if (explanation.order == 1) evidence.at_f = &tone;
            if (explanation.order == 2) evidence.at_2f = &tone;
        }
    }
    // Where a rate wanders, which line is the rate itself is a guess of the match: the lowest stands for it here.
    if (wanders && !tones.empty()) {
        evidence.at_f = *std::min_element(
            tones.begin(), tones.end(),
            [](const tones::UnitTone* a, const tones::UnitTone* b) { return a->tone.hz < b->tone.hz; });
        evidence.at_2f = nullptr;
        for (const tones::UnitTone* tone : tones)
            if (near(tone->tone.hz, 2.0 * evidence.at_f->tone.hz)) evidence.at_2f = tone;
    }
    if (evidence.at_f == nullptr && evidence.at_2f != nullptr)
        evidence.f_would_show = would_show(findings, 0.5 * evidence.at_2f->tone.hz, evidence.at_2f->tone.level_dbfs);
    return evidence;
}

class Reasoning {
  public:
    Reasoning(const match::Findings& findings, const board::BoardSheet& sheet, const match::Suspect& suspect, int rate)
        : findings_(findings),
          sheet_(sheet),
          rate_(sheet.rates[static_cast<std::size_t>(rate)]),
          part_(sheet.parts[static_cast<std::size_t>(rate_.part)]),
          evidence_(evidence_of(findings, suspect, rate_.wanders())),
          supply_(board::supply_of_rate(sheet, rate, match::states_of(sheet, findings.unit))) {
        if (part_.rail >= 0) rail_ = &sheet.rails[static_cast<std::size_t>(part_.rail)];
    }

    Cause all() {
        Cause cause;
        cause.rate = rate_.full_name;
        if (!evidence_.any) return cause;
        std::vector<Weighed> weighed;
        if (may_burst()) weighed.push_back(light_load());
        weighed.push_back(capacitor());
        weighed.push_back(coil());
        std::stable_sort(weighed.begin(), weighed.end(),
                         [](const Weighed& a, const Weighed& b) { return a.second > b.second; });
        for (auto& [mechanism, weight] : weighed) {
            mechanism.likelihood = weight >= 2 ? "likely" : weight >= 0 ? "possible" : "unlikely";
            if (weight >= 0) likely_.push_back(mechanism.id);
            cause.mechanisms.push_back(std::move(mechanism));
        }
        cause.cures = cures();
        return cause;
    }

  private:
    using Weighed = std::pair<Mechanism, int>;

    bool switching() const { return rail_ && rail_->regulator && *rail_->regulator != board::Regulator::linear; }
    bool may_burst() const { return rate_.wanders() || switching(); }
    bool is_likely(const char* id) const { return std::find(likely_.begin(), likely_.end(), id) != likely_.end(); }
    std::string rail_name() const { return rail_ ? base::printable(rail_->id) : ""; }
    std::string f() const {
        return evidence_.at_f ? base::short_hz(evidence_.at_f->tone.hz) : base::short_hz(rate_.nominal_hz());
    }

    std::string second_line() const {
        const double under = evidence_.at_2f->tone.level_dbfs - evidence_.at_f->tone.level_dbfs;
        std::string text = "the line at 2f stands " + base::fixed(std::abs(under), 1) + " dB " +
                           (under < 0.0 ? "below" : "above") + " the one at f";
        const double ripple = supply_ && supply_->droop_v ? *supply_->droop_v : 0.0;
        if (ripple > 0.0 && rail_ && rail_->v_out && *rail_->v_out != 0.0)
            text += "; the square law alone would put it " +
                    base::fixed(-square_law_second_db(*rail_->v_out, 0.5 * ripple), 0) +
                    " dB below at the reckoned dip of " + base::significant(ripple, 2) +
                    " V, the rest is the drive's own";
        else if (rate_.shape != board::Shape::sine)
            text += ", as the drive's own second harmonic may, so it says little";
        return text;
    }

    Weighed capacitor() const {
        Mechanism found{"capacitor", "a ceramic capacitor" + (rail_ ? " on " + rail_name() : std::string()), "", {}};
        int weight = rail_ ? 1 : 0;
        const auto note = [&](std::string text, Speaks speaks) {
            found.observations.push_back({std::move(text), speaks});
        };
        if (evidence_.at_f) {
            note("there is a line at " + f() + (rate_.wanders() ? "" : ", the rate itself") +
                     ", as a capacitor with a voltage on it gives",
                 Speaks::for_it);
            ++weight;
        } else if (evidence_.f_would_show) {
            note("the line at the rate itself is missing, where one as loud as that at 2f would have been found",
                 Speaks::against_it);
            weight -= 2;
        }
        if (evidence_.at_f && evidence_.at_2f) note(second_line(), Speaks::open);
        if (supply_ && supply_->verdict == board::Supply::starved) {
            note("its rail is starved, so the voltage on its capacitors moves with the load", Speaks::for_it);
            ++weight;
        } else if (supply_ && supply_->droop_v && rail_->v_out && *supply_->droop_v > 0.01 * std::abs(*rail_->v_out)) {
            note("each burst takes up to " + base::significant(*supply_->droop_v, 2) + " V from the rail",
                 Speaks::for_it);
            ++weight;
        }
        note(
            "to tell: press single capacitors lightly with a plastic stick, on the low-voltage board only; the note "
            "changes at the one that sings (common practice)",
            Speaks::open);
        return Weighed{found, weight};
    }

    /// `words` and the rail, where a converter feeds it.
    std::string if_switching(const std::string& words) const { return switching() ? words + rail_name() : ""; }

    Weighed coil() const {
        Mechanism found{"coil", "the core of a coil" + if_switching(" of the converter on "), "", {}};
        int weight = switching() ? 0 : rail_ && rail_->regulator ? -2 : -1;
        const auto note = [&](std::string text, Speaks speaks) {
            found.observations.push_back({std::move(text), speaks});
        };
        if (rail_ && rail_->regulator == board::Regulator::linear)
            note(rail_name() +
                     " has a linear regulator, which needs no coil; a bead or a filter coil would be another matter",
                 Speaks::against_it);
        if (evidence_.f_would_show) {
            note("there is a line at 2f, " + base::short_hz(evidence_.at_2f->tone.hz) +
                     ", and none at f: the square of a current without bias",
                 Speaks::for_it);
            weight += 3;
        } else if (evidence_.at_f) {
            note("there is a line at " + f() + (rate_.wanders() ? "" : ", the rate itself") +
                     ", which a core gives only with a direct current through it, as a "
                     "converter's coil has",
                 switching() ? Speaks::for_it : Speaks::against_it);
            weight += switching() ? 1 : -1;
        }
        note(
            "to tell: a core does not change its note under a light touch, and a coil with a closed or moulded core of "
            "the same value is quieter (common practice)",
            Speaks::open);
        return Weighed{found, weight};
    }

    Weighed light_load() const {
        Mechanism found{"light-load", "a converter that bursts at light load" + if_switching(", on "), "", {}};
        int weight = rate_.wanders() ? 1 : 0;
        const auto note = [&](std::string text, Speaks speaks) {
            found.observations.push_back({std::move(text), speaks});
        };
        if (evidence_.moving) {
            const tones::Tone& tone = evidence_.moving->tone;
            note("the tone moves from " + base::short_hz(tone.start_hz) + " to " + base::short_hz(tone.end_hz) +
                     ": its rate follows the load and the input, and no clock",
                 Speaks::for_it);
            weight += 2;
        } else {
            note("the tone stands still, and a burst rate follows the load", Speaks::against_it);
            weight -= 2;
        }
        note(
            "to tell: load the output some milliamperes more; the tone must rise in proportion and, above the "
            "converter's "
            "threshold, go",
            Speaks::open);
        return Weighed{found, weight};
    }

    std::vector<Cure> cures() const {
        static const std::string makers = "makers' notes", practice = "common practice";
        std::vector<Cure> list;
        if (supply_ && supply_->verdict == board::Supply::starved)
            list.push_back({"give the rail more to spare ('tattletone headroom' says how much)",
                            "a larger package, a lower input voltage, or a second regulator", practice});
        if (is_likely("light-load"))
            list.push_back({"force the converter to switch all the time, or keep a minimum load on it",
                            "current at light load, hence battery life", makers});
        if (!rate_.wanders() && rate_.hz > 0.0 && rate_.hz < audible_hz) {
            const int times = static_cast<int>(std::floor(audible_hz / rate_.hz)) + 1;
            list.push_back({"move the rate out of the audible band: " + std::to_string(times) + " times as fast is " +
                                base::short_hz(times * rate_.hz),
                            std::string("more switching loss and interference; not every part can") +
                                (rate_.adjustable ? ", this one is declared adjustable" : "") +
                                "; slower helps little, for its harmonics stay",
                            practice});
        }
        if (!rate_.wanders())
            list.push_back({"spread the rate by some per cent, so that a hiss takes the place of the tone",
                            "the same energy, less conspicuous; a frame that must be regular cannot", practice});
        if (is_likely("capacitor")) {
            list.push_back({"a capacitor of class I (C0G, NP0), which is silent, or one that is no ceramic",
                            "size and price for the same capacitance; a leakage or an ESR of its own", makers});
            list.push_back({"a larger size or a higher rated voltage, so that less of its value goes under bias",
                            "board space; the smallest sizes keep as little as 20 to 60 % at full bias", makers});
            list.push_back({"two capacitors of half the value, face to face on both sides of the board",
                            "placement on both sides", practice});
            list.push_back(
                {"soft terminations or a capacitor on stilts", "price and height; quieter, not silent", practice});
        }
        if (is_likely("coil"))
            list.push_back(
                {"a coil with a moulded or glued core, or with less ripple current", "price, size", practice});
        list.push_back({"damp or decouple the board: a slot beside the part, a soft mount, a drop of compound",
                        "board space or rework; a compound can hinder repair", practice});
        return list;
    }

    const match::Findings& findings_;
    const board::BoardSheet& sheet_;
    const board::Rate& rate_;
    const board::Part& part_;
    const board::Rail* rail_ = nullptr;
    Evidence evidence_;
    std::optional<board::RateSupply> supply_;
    std::vector<std::string> likely_;
};

}  // namespace

double square_law_second_db(double bias_v, double amplitude_v) {
    return 20.0 * std::log10(amplitude_v / (4.0 * std::abs(bias_v)));
}

Cause cause_of(const match::Findings& findings, const board::BoardSheet& sheet, const match::Suspect& suspect) {
    for (int i = 0; i < static_cast<int>(sheet.rates.size()); ++i)
        if (sheet.rates[static_cast<std::size_t>(i)].full_name == suspect.rate)
            return Reasoning(findings, sheet, suspect, i).all();
    return {suspect.rate, {}, {}};
}

}  // namespace tattletone::cause
