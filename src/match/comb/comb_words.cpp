#include "match/comb/comb_words.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "match/explain/wording.h"
#include "tones/detect/fine_spectrum.h"

namespace tattletone::match {
namespace {

constexpr double least_comb_told = 0.01, surely = 0.5;
constexpr double told_line_resolutions = 1.0, same_line_sds = 3.0;

bool is_told(const Findings& findings, const tones::UnitTone& tone) {
    const auto known = findings.explained_by.find(tone.id);
    return known != findings.explained_by.end() && !known->second.empty() &&
           known->second[0].probability >= least_comb_told;
}

/// Tones at multiples of the comb's fundamental that nobody explains.
void tell_tones(const FoundComb& comb, double declared_hz, Findings& findings) {
    const double seconds = findings.unit.takes[static_cast<std::size_t>(comb.recording)].found.seconds;
    for (tones::UnitTone& unit_tone : findings.unit.tones) {
        tones::Tone& tone = unit_tone.tone;
        const bool open = tone.origin == tones::Origin::unsure || tone.origin == tones::Origin::board;
        const double order = std::round(tone.hz / comb.hz), off_hz = std::abs(tone.hz - order * comb.hz);
        if (!open || !tone.steady || order < 1.0 || is_told(findings, unit_tone) ||
            off_hz > same_line_sds * std::hypot(tone.hz_sd, order * comb.hz_sd, told_line_resolutions / 3.0 / seconds))
            continue;
        Explanation explanation;
        explanation.rate = comb.rate;
        explanation.order = static_cast<int>(order);
        explanation.expected_hz = order * declared_hz;
        explanation.offset_hz = tone.hz - explanation.expected_hz;
        explanation.probability = comb.probability;
        findings.explained_by[unit_tone.id].push_back(std::move(explanation));
        tone.origin = tones::Origin::board;
        tone.rejection.clear();
        tone.comb = true;
    }
}

double under_db(const Comb& comb, const tones::Tones& take) {
    const tones::FloorPoint floor = tones::floor_at(take, std::sqrt(comb.low_hz * comb.high_hz));
    const double seconds = take.fine && take.fine->step_hz > 0.0 ? 0.5 / take.fine->step_hz : take.seconds;
    return floor.steady_above_dbfs - floor.noise_dbfs_per_hz + 10.0 * std::log10(seconds) -
           10.0 * std::log10(std::max(comb.mean_snr, 0.05));
}

}  // namespace

const Comb* comb_of(const Source& source, const SourcePosterior& found) {
    const auto first = std::find_if(found.best.begin(), found.best.end(),
                                    [](const LineMatch& line_match) { return line_match.comb >= 0; });
    return first == found.best.end() ? nullptr : &source.combs[static_cast<std::size_t>(first->comb)];
}

void set_lines(const Comb& comb, const tones::Tones& take, CombFigures& told) {
    told.recording = comb.take;
    told.lines = comb.counted;
    told.low_hz = comb.low_hz;
    told.high_hz = comb.high_hz;
    told.under_db = under_db(comb, take);
    told.log10_ratio = comb.log_ratio / std::log(10.0);
}

FoundComb found_comb(const Comb& comb, const SourcePosterior& found, const board::BoardSheet& sheet,
                     const tones::UnitTones& unit) {
    const board::Rate& rate = sheet.rates[static_cast<std::size_t>(comb.rate)];
    const tones::Tones& take = unit.takes[static_cast<std::size_t>(comb.take)].found;
    FoundComb told;
    told.rate = rate.full_name;
    told.probability = std::min(1.0, found.sings);
    told.hz = rate.hz * (1.0 + found.x);
    told.hz_sd = rate.hz * found.x_sd;
    set_lines(comb, take, told);
    return told;
}

std::string comb_words(const FoundComb& comb, const SourcePosterior& found, const Source& source) {
    char text[320];
    char each[64] = "";
    if (comb.under_db >= 0.5)
        std::snprintf(each, sizeof each, "each on average %.0f dB under what is found alone; ", comb.under_db);
    std::snprintf(
        text, sizeof text,
        "%d multiples between %s and %s stand out of the noise together, %stheir sum is 10^%.0f times likelier "
        "with them than without, at one deviation of %s, %s the declared %s",
        comb.lines, as_hz(comb.low_hz).c_str(), as_hz(comb.high_hz).c_str(), each, std::floor(comb.log10_ratio),
        as_relative(found.x, true).c_str(),
        std::abs(found.x) <= source.tolerance ? "inside" : "which is the sound card's own error beside",
        as_relative(source.tolerance, false).c_str());
    return text;
}

void tell_combs(const Observations& observations, const std::vector<Source>& sources, const JointPosterior& outcome,
                Findings& findings) {
    for (std::size_t i = 0; i < sources.size(); ++i) {
        const SourcePosterior& found = outcome.sources[i];
        const Comb* const comb = comb_of(sources[i], found);
        if (sources[i].rate < 0 || !comb || found.sings < least_comb_told) continue;
        findings.combs.push_back(found_comb(*comb, found, *observations.sheet, findings.unit));
        if (found.sings >= surely)
            tell_tones(findings.combs.back(), observations.sheet->rates[static_cast<std::size_t>(comb->rate)].hz,
                       findings);
    }
}

}  // namespace tattletone::match
