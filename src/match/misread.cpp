#include "match/misread.h"

#include <algorithm>
#include <cmath>

#include "match/explain/wording.h"
#include "match/model/gauss.h"
#include "match/model/observations.h"
#include "match/model/source.h"
#include "match/search/weigh_unit.h"
#include "tones/judge/mains.h"

namespace tattletone::match {
namespace {

constexpr double same_rate = 1e-6;        // relative
constexpr double misread_from = 0.5;      // probability
constexpr std::size_t least_meeting = 2;  // tones that meet lines, before anything is weighed
constexpr int highest_meeting = 12;       // order

/// What headers say and samples have, kHz (common practice; MODEL.md 25). Pairs stand both ways.
struct Mistake {
    double said_khz, held_khz;
    bool usual;
};
constexpr Mistake mistakes[] = {
    {48.0, 44.1, true},  {44.1, 48.0, true},  {48.0, 96.0, false},  {96.0, 48.0, false},
    {44.1, 88.2, false}, {88.2, 44.1, false}, {44.1, 22.05, false}, {48.0, 24.0, false},
    {48.0, 16.0, false}, {44.1, 16.0, false}, {16.0, 48.0, false},  {16.0, 44.1, false},
    {48.0, 32.0, false}, {44.1, 32.0, false}, {16.0, 8.0, false},   {8.0, 16.0, false},
};

/// As it is if every frequency is that share of what was read.
tones::UnitTones at_another_rate(const tones::UnitTones& unit, double share) {
    tones::UnitTones other = unit;
    for (tones::Take& take : other.takes) {
        take.found.sample_rate_hz *= share;
        take.found.usable = {take.found.usable.low_hz * share, take.found.usable.high_hz * share};
        for (tones::FloorPoint& point : take.found.floor) point.hz *= share;
    }
    for (tones::RoomLine& line : other.room_lines) line.hz *= share;
    for (tones::UnitTone& unit_tone : other.tones) {
        tones::Tone& tone = unit_tone.tone;
        for (double* hz :
             {&tone.hz, &tone.hz_sd, &tone.start_hz, &tone.end_hz, &tone.drift_hz, &tone.drift_hz_sd, &tone.wander_hz})
            *hz *= share;
        tone.mains_multiple = 0;
        tone.mains_hz = 0.0;
        if (tone.origin == tones::Origin::mains) tone.origin = tones::Origin::unsure;
    }
    std::erase_if(other.tones, [](const tones::UnitTone& tone) { return tone.tone.faint; });
    return other;
}

/// The multiples of a grid, and its frequency; 0 without any.
std::vector<int> mains_among(const tones::UnitTones& unit, double& grid_hz) {
    std::vector<tones::Tone> tones;
    for (const tones::UnitTone& tone : unit.tones) tones.push_back(tone.tone);
    tones::mark_mains(tones);
    std::vector<int> ids;
    for (std::size_t i = 0; i < tones.size(); ++i) {
        if (tones[i].origin != tones::Origin::mains) continue;
        ids.push_back(unit.tones[i].id);
        grid_hz = tones[i].mains_hz;
    }
    return ids;
}

/// ln of the odds that somebody makes the tones, and the rates that then sing.
double log_evidence(const board::BoardSheet& sheet, const tones::UnitTones& unit, const MatchParameters& p,
                    const CardGrid& grid, std::vector<std::string>& rates) {
    Observations observations = observe(&sheet, unit, p);
    const auto sources = sources_of(observations);
    const JointPosterior outcome = weigh_unit(observations, sources, grid);
    for (std::size_t i = 0; i < sources.size(); ++i)
        if (sources[i].rate >= 0 && outcome.sources[i].sings >= misread_from)
            rates.push_back(sheet.rates[static_cast<std::size_t>(sources[i].rate)].full_name);
    return outcome.log_evidence;
}

/// Tones that meet a low harmonic of a tightly timed rate.
std::size_t meeting(const board::BoardSheet& sheet, const tones::UnitTones& unit, const MatchParameters& p) {
    std::size_t count = 0;
    for (const tones::UnitTone& unit_tone : unit.tones) {
        const tones::Tone& tone = unit_tone.tone;
        if (tone.origin != tones::Origin::board && tone.origin != tones::Origin::unsure) continue;
        count += std::any_of(sheet.rates.begin(), sheet.rates.end(), [&](const board::Rate& rate) {
            if (rate.wanders() || 1e-6 * rate.tolerance_ppm >= p.resonator_tolerance) return false;
            const double order = std::round(tone.hz / rate.hz);
            const double reach = 1e-6 * (rate.tolerance_ppm + 3.0 * p.card_sd_ppm) + 3.0 * tone.hz_sd / tone.hz;
            return order >= 1.0 && order <= highest_meeting && std::abs(tone.hz / (order * rate.hz) - 1.0) < reach;
        });
    }
    return count;
}

std::optional<double> one_rate_of(const tones::UnitTones& unit) {
    if (unit.takes.empty()) return std::nullopt;
    const double hz = unit.takes[0].found.sample_rate_hz;
    for (const tones::Take& take : unit.takes)
        if (std::abs(take.found.sample_rate_hz / hz - 1.0) > same_rate) return std::nullopt;
    return hz;
}

/// A grid keeps nearer to its nominal frequency than the combs of 19 take it to: within some 0.03 Hz (common practice;
/// recorded grids of ../shared/real/mains, 49.963 to 50.040 Hz). ln of how much denser that is than their uniform one.
double log_near_nominal(double grid_hz, const MatchParameters& p) {
    constexpr double sd_hz = 0.03;
    const double nominal_hz = grid_hz < 55.0 ? 50.0 : 60.0;
    return log_normal_density(grid_hz, nominal_hz, sd_hz) + std::log(2.0 * p.mains_reach * nominal_hz);
}

std::string as_khz(double hz) {
    char text[32];
    std::snprintf(text, sizeof text, "%.6g kHz", hz / 1000.0);
    return text;
}

}  // namespace

std::string Misread::sentence() const {
    std::string fits;
    if (mains_hz > 0.0) {
        char text[48];
        std::snprintf(text, sizeof text, "the hum is the mains' at %.2f Hz", mains_hz);
        fits = text;
    }
    if (!rates.empty())
        fits += (fits.empty() ? "" : ", and ") + joined(rates) + (rates.size() == 1 ? " is" : " are") + " as declared";
    return "Its header says " + as_khz(said_hz) + ", and what is heard fits better if it holds " + as_khz(held_hz) +
           ": then " + fits + ". Check how the recording was saved, and give it with the right rate.";
}

std::string held_if_off_by(double said_hz, double deviation, double sd) {
    for (const Mistake& mistake : mistakes)
        if (std::abs(said_hz / (1000.0 * mistake.said_khz) - 1.0) < same_rate &&
            std::abs(mistake.said_khz / mistake.held_khz / (1.0 + deviation) - 1.0) < sd)
            return as_khz(1000.0 * mistake.held_khz);
    return {};
}

std::optional<Misread> misread_rate(const board::BoardSheet* given, const tones::UnitTones& unit,
                                    const MatchParameters& p, const CardGrid& grid) {
    static const board::BoardSheet none;
    const board::BoardSheet& sheet = given ? *given : none;
    const auto said_hz = one_rate_of(unit);
    if (!said_hz) return std::nullopt;
    const tones::UnitTones as_read = at_another_rate(unit, 1.0);
    std::vector<std::string> named;
    std::optional<double> log_as_read;
    double grid_hz = 0.0, sum = 1.0;
    const std::size_t mains_now = mains_among(as_read, grid_hz).size(), meeting_now = meeting(sheet, as_read, p);
    std::vector<Misread> all;
    for (const Mistake& mistake : mistakes) {
        if (std::abs(*said_hz / (1000.0 * mistake.said_khz) - 1.0) > same_rate) continue;
        Misread misread;
        misread.said_hz = *said_hz;
        misread.held_hz = 1000.0 * mistake.held_khz;
        const tones::UnitTones other = at_another_rate(unit, misread.held_hz / misread.said_hz);
        misread.mains_tones = mains_among(other, misread.mains_hz);
        const std::size_t meeting_then = meeting(sheet, other, p);
        const bool by_mains = misread.mains_tones.size() >= mains_now + least_meeting;
        const bool by_rates = meeting_then >= least_meeting && meeting_then > meeting_now;
        if (!by_mains) misread.mains_hz = 0.0, misread.mains_tones.clear();
        if (!by_mains && !by_rates) continue;
        if (!log_as_read) log_as_read = log_evidence(sheet, as_read, p, grid, named);
        const double log_odds = std::log(mistake.usual ? p.misread_usual : p.misread_other) +
                                log_evidence(sheet, other, p, grid, misread.rates) - *log_as_read;
        if (misread.rates.empty() && !by_mains) continue;
        misread.probability =
            std::exp(std::min(log_odds + (by_mains ? log_near_nominal(misread.mains_hz, p) : 0.0), 50.0));
        sum += misread.probability;
        all.push_back(std::move(misread));
    }
    const auto best = std::max_element(
        all.begin(), all.end(), [](const Misread& a, const Misread& b) { return a.probability < b.probability; });
    if (best == all.end() || best->probability < misread_from * sum) return std::nullopt;
    best->probability /= sum;
    return std::move(*best);
}

void tell_misread(const board::BoardSheet* sheet, const MatchParameters& parameters, const CardGrid& grid,
                  Findings& findings) {
    const auto misread = misread_rate(sheet, findings.unit, parameters, grid);
    if (!misread) return;
    findings.notices.push_back(misread->sentence());
    for (tones::UnitTone& unit_tone : findings.unit.tones) {
        const auto& ids = misread->mains_tones;
        tones::Tone& tone = unit_tone.tone;
        if (std::find(ids.begin(), ids.end(), unit_tone.id) == ids.end() || tone.origin != tones::Origin::board)
            continue;
        tone.origin = tones::Origin::unsure;
        tone.rejection = "a multiple of the mains, if the recording's header says the wrong sample rate";
    }
}

}  // namespace tattletone::match
