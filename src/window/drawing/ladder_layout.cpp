#include "window/drawing/ladder_layout.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/text/number.h"
#include "match/model/parameters.h"
#include "report/mechanism_words.h"

namespace tattletone::window {
namespace {

constexpr double least_probability = 0.1;  // for a rung to be lit
constexpr double card_error = 150e-6;      // three standard deviations of a sound card's clock
constexpr double wide_tolerance_ppm = 5000.0;
constexpr double lowest_hz = 20.0, highest_hz = 24000.0;
constexpr double sort_step = 0.02;

std::string facts_of(const board::Rate& rate) {
    static constexpr const char* shapes[] = {"pulse", "square", "sine"};
    const std::string shape = shapes[static_cast<int>(rate.shape)];
    if (rate.wanders()) return base::short_hz(rate.hz_min) + " to " + base::short_hz(rate.hz_max) + ", " + shape;
    const std::string tolerance = rate.tolerance_ppm >= 1000.0 ? base::trimmed(rate.tolerance_ppm * 1e-4, 2) + " %"
                                                               : base::trimmed(rate.tolerance_ppm, 1) + " ppm";
    return base::trimmed(rate.hz, 2) + " Hz ± " + tolerance + ", " + shape;
}

bool shape_has(board::Shape shape, int order) {
    switch (shape) {
        case board::Shape::pulse:
            return true;
        case board::Shape::square:
            return order % 2 == 1;
        case board::Shape::sine:
            return order <= 2;
    }
    return true;
}

double fall_db(board::Shape shape, int order) {
    static const match::MatchParameters parameters = match::fitted_parameters();
    const double per_octave = shape == board::Shape::pulse    ? parameters.pulse_db_per_octave
                              : shape == board::Shape::square ? parameters.square_db_per_octave
                                                              : parameters.sine_db_per_octave;
    return std::abs(per_octave) * std::log2(static_cast<double>(order));
}

/// What the takes in which a rate may run can tell about it.
class Witnesses {
  public:
    Witnesses(const board::BoardSheet& sheet, const board::Rate& rate, const match::Findings* findings) {
        wide_ = rate.wanders() || rate.tolerance_ppm >= wide_tolerance_ppm;
        if (findings == nullptr) return;
        for (const tones::Take& take : findings->unit.takes)
            if (sheet.active(rate, sheet.state_index(take.state))) takes_.push_back(&take.found);
    }
    bool none() const { return takes_.empty(); }
    /// The level above which a line would have been found; nothing outside every band.
    std::optional<double> seen_above_dbfs(double hz) const {
        std::optional<double> least;
        for (const tones::Tones* found : takes_) {
            if (hz < found->usable.low_hz || hz > found->usable.high_hz || found->floor.empty()) continue;
            const tones::FloorPoint floor = tones::floor_at(*found, hz);
            const double level = wide_ ? floor.wandering_above_dbfs : floor.steady_above_dbfs;
            least = std::min(least.value_or(level), level);
        }
        return least;
    }

  private:
    std::vector<const tones::Tones*> takes_;
    bool wide_ = false;
};

const tones::UnitTone* tone_with(const match::Findings& findings, int id) {
    for (const tones::UnitTone& tone : findings.unit.tones)
        if (tone.id == id) return &tone;
    return nullptr;
}

Rung rung_of(const board::BoardSheet& sheet, const board::Line& line) {
    Rung rung;
    rung.kind = line.kind;
    rung.order = line.order;
    if (line.other >= 0) rung.other = sheet.rates[static_cast<std::size_t>(line.other)].full_name;
    rung.hz = line.nominal_hz;
    rung.low_hz = line.low_hz;
    rung.high_hz = line.high_hz;
    return rung;
}

/// Marks what explains a tone; adds lines that are no harmonics.
void light(const board::Rate& rate, const match::Findings& findings, std::vector<Rung>& rungs) {
    for (const auto& [id, explanations] : findings.explained_by) {
        const tones::UnitTone* tone = tone_with(findings, id);
        if (tone == nullptr) continue;
        for (const match::Explanation& one : explanations) {
            if (one.rate != rate.full_name || one.probability < least_probability) continue;
            auto rung = std::find_if(rungs.begin(), rungs.end(), [&](const Rung& r) {
                return r.kind == one.kind && r.order == one.order && r.other == one.other &&
                       (r.tone == 0 || r.tone == id) && r.state != RungState::range;
            });
            if (rung == rungs.end()) {
                Rung added;
                added.kind = one.kind;
                added.order = one.order;
                added.other = one.other;
                added.low_hz = added.high_hz = tone->tone.hz;
                rung = rungs.insert(rungs.end(), added);
            }
            rung->state = RungState::lit;
            rung->hz = tone->tone.hz;
            rung->probability = std::max(rung->probability, one.probability);
            rung->tone = id;
        }
    }
}

/// Level of the fundamental that the lit harmonics speak of.
std::optional<double> spoken_level_dbfs(const board::Rate& rate, const match::Findings& findings,
                                        const std::vector<Rung>& rungs) {
    double sum = 0.0;
    int count = 0;
    for (const Rung& rung : rungs) {
        if (rung.state != RungState::lit || rung.kind != board::LineKind::harmonic) continue;
        sum += tone_with(findings, rung.tone)->tone.level_dbfs + fall_db(rate.shape, rung.order);
        ++count;
    }
    if (count == 0) return std::nullopt;
    return sum / count;
}

const tones::UnitTone* tone_in(const match::Findings& findings, const Rung& rung) {
    for (const tones::UnitTone& tone : findings.unit.tones)
        if (tone.tone.hz >= rung.low_hz * (1.0 - card_error) && tone.tone.hz <= rung.high_hz * (1.0 + card_error))
            return &tone;
    return nullptr;
}

void judge_dark_rungs(const board::BoardSheet& sheet, const board::Rate& rate, const match::Findings& findings,
                      std::vector<Rung>& rungs) {
    static const double scatter_db = match::fitted_parameters().line_scatter_db;
    const Witnesses witnesses(sheet, rate, &findings);
    const auto level = spoken_level_dbfs(rate, findings, rungs);
    for (Rung& rung : rungs) {
        if (rung.state == RungState::lit || rung.state == RungState::range) continue;
        const auto seen_above = witnesses.seen_above_dbfs(rung.hz);
        const tones::UnitTone* tone = tone_in(findings, rung);
        if (!seen_above) {
            rung.state = RungState::outside;
        } else if (tone != nullptr) {
            rung.state = RungState::taken;
            rung.tone = tone->id;
        } else if (!shape_has(rate.shape, rung.order)) {
            rung.state = RungState::unseen;
        } else {
            const bool loud_enough = !level || *level - fall_db(rate.shape, rung.order) - scatter_db > *seen_above;
            rung.state = loud_enough ? RungState::missing : RungState::unseen;
        }
    }
}

std::string plain_reason(const Ladder& ladder, const match::Findings* findings) {
    if (findings == nullptr || findings->unit.takes.empty()) return "";
    if (!ladder.may_run) return "It does not run in any state that was recorded.";
    const auto count = [&](RungState state) {
        return std::count_if(ladder.rungs.begin(), ladder.rungs.end(),
                             [&](const Rung& rung) { return rung.state == state; });
    };
    if (count(RungState::range) > 0) return "Nothing is heard that it explains.";
    if (count(RungState::missing) + count(RungState::taken) == 0) return "None of its lines would have been seen.";
    if (count(RungState::taken) > 0) return "What is heard at its lines is explained better by something else.";
    return "Nothing is heard at its lines.";
}

}  // namespace

std::vector<Ladder> ladders_of(const board::BoardSheet& sheet, const match::Findings* findings) {
    board::LineLimits limits{lowest_hz, highest_hz, 0.0};
    if (findings != nullptr)
        for (const tones::Take& take : findings->unit.takes)
            limits.high_hz = std::min(limits.high_hz, 0.5 * take.found.sample_rate_hz);
    std::vector<Ladder> ladders;
    for (std::size_t i = 0; i < sheet.rates.size(); ++i) {
        const board::Rate& rate = sheet.rates[i];
        Ladder ladder;
        ladder.rate = static_cast<int>(i);
        ladder.name = rate.full_name;
        ladder.part_name = sheet.parts[static_cast<std::size_t>(rate.part)].name;
        ladder.facts = facts_of(rate);
        if (rate.wanders()) {
            Rung range;
            range.state = RungState::range;
            range.hz = rate.nominal_hz();
            range.low_hz = rate.hz_min;
            range.high_hz = rate.hz_max;
            ladder.rungs.push_back(range);
        } else {
            for (const board::Line& line : board::lines_of(sheet, ladder.rate, limits))
                if (line.kind == board::LineKind::harmonic) ladder.rungs.push_back(rung_of(sheet, line));
        }
        if (findings != nullptr) {
            ladder.may_run = findings->unit.takes.empty() || !Witnesses(sheet, rate, findings).none();
            light(rate, *findings, ladder.rungs);
            if (!findings->unit.takes.empty()) judge_dark_rungs(sheet, rate, *findings, ladder.rungs);
            for (const match::Suspect& suspect : findings->suspects) {
                if (suspect.rate != rate.full_name) continue;
                ladder.suspect = true;
                ladder.probability = suspect.probability;
                ladder.reasons = suspect.reasons;
                ladder.cause = report::mechanism_sentence(*findings, sheet, suspect);
                ladder.tones = suspect.tones;
            }
        }
        std::stable_sort(ladder.rungs.begin(), ladder.rungs.end(),
                         [](const Rung& a, const Rung& b) { return a.hz < b.hz; });
        ladder.reason = ladder.reasons.empty() ? plain_reason(ladder, findings) : ladder.reasons[0];
        ladders.push_back(std::move(ladder));
    }
    const auto step = [](const Ladder& ladder) { return std::lround(ladder.probability / sort_step); };
    std::stable_sort(ladders.begin(), ladders.end(),
                     [&](const Ladder& a, const Ladder& b) { return step(a) > step(b); });
    return ladders;
}

}  // namespace tattletone::window
