#include "toggle/trial/watched.h"

#include <algorithm>
#include <cmath>

namespace tattletone::toggle {
namespace {

constexpr std::size_t most_tones = 48, most_expected = 48;
constexpr double tones_share = 0.4, expected_share = 0.4, bands_share = 0.2;  // assumed: a third each, about
constexpr int highest_order = 8;
constexpr double narrow_bins = 1.5;  // a window of a step resolves 1/step Hz; wider lines are measured as bands
constexpr double widest_hz = 400.0;
constexpr double lowest_band_hz = 100.0;

using PeakBetween = std::function<double(double low_hz, double high_hz)>;

// The line within a wide one.
void add_narrow(const WatchedLine& wide, const PeakBetween& peak_between, std::vector<WatchedLine>& lines) {
    WatchedLine narrow = wide;
    narrow.hz = peak_between(wide.hz - wide.half_width_hz, wide.hz + wide.half_width_hz);
    narrow.half_width_hz = 0.0;
    narrow.log_prior -= std::log(2.0);
    lines.back().log_prior = narrow.log_prior;
    lines.push_back(narrow);
}

void add_tones(const tones::UnitTones& unit, double bin_hz, const PeakBetween& peak_between,
               std::vector<WatchedLine>& lines) {
    std::vector<const tones::UnitTone*> chosen;
    for (const tones::UnitTone& tone : unit.tones) chosen.push_back(&tone);
    std::stable_sort(chosen.begin(), chosen.end(), [](const tones::UnitTone* a, const tones::UnitTone* b) {
        const bool of_a = a->tone.origin == tones::Origin::board, of_b = b->tone.origin == tones::Origin::board;
        return of_a != of_b ? of_a : a->tone.tone_to_noise_db > b->tone.tone_to_noise_db;
    });
    chosen.resize(std::min(chosen.size(), most_tones));
    for (const tones::UnitTone* tone : chosen) {
        WatchedLine line;
        line.kind = WatchedLine::Kind::tone;
        line.tone = tone->id;
        line.hz = line.tone_hz = tone->tone.hz;
        const double reach = 3.0 * tone->tone.wander_hz + 0.5 * std::abs(tone->tone.end_hz - tone->tone.start_hz);
        if (!tone->tone.steady && reach > bin_hz) line.half_width_hz = std::min(reach, widest_hz);
        line.log_prior = std::log(tones_share / static_cast<double>(chosen.size()));
        lines.push_back(line);
        if (line.half_width_hz > 0.0) add_narrow(line, peak_between, lines);
    }
}

bool is_watched(const std::vector<WatchedLine>& lines, double hz, double near_hz) {
    return std::any_of(lines.begin(), lines.end(),
                       [&](const WatchedLine& line) { return std::abs(line.hz - hz) <= near_hz; });
}

void add_expected(const board::BoardSheet& sheet, const Plan& plan, const tones::Band& band, double bin_hz,
                  const PeakBetween& peak_between, std::vector<WatchedLine>& lines) {
    std::vector<WatchedLine> expected;
    double weights = 0.0;
    for (int order = 1; order <= highest_order; ++order)
        for (const board::Rate& rate : sheet.rates) {
            const std::string& part = sheet.parts[static_cast<std::size_t>(rate.part)].id;
            const double hz = order * rate.hz, reach = hz * rate.tolerance_ppm * 1e-6;
            if (rate.wanders() || std::find(plan.parts.begin(), plan.parts.end(), part) == plan.parts.end() ||
                hz - reach < band.low_hz || hz + reach > band.high_hz || reach > widest_hz ||
                expected.size() == most_expected)
                continue;
            WatchedLine line;
            line.kind = WatchedLine::Kind::expected;
            line.rate = rate.full_name;
            line.order = order;
            line.hz = hz;
            if (reach > narrow_bins * bin_hz) line.half_width_hz = reach;
            if (line.half_width_hz == 0.0 && is_watched(lines, hz, std::max(reach, bin_hz))) continue;
            weights += 1.0 / order;
            expected.push_back(line);
        }
    for (WatchedLine& line : expected) {
        line.log_prior = std::log(expected_share / line.order / weights);
        lines.push_back(line);
        if (line.half_width_hz > 0.0) add_narrow(line, peak_between, lines);
    }
}

void add_bands(const tones::Band& band, std::vector<WatchedLine>& lines) {
    std::vector<WatchedLine> bands;
    // Thirds of an octave as IEC 61260-1 counts them, 10^(n/10) Hz.
    for (int n = 20; n <= 43; ++n) {
        const double hz = std::pow(10.0, 0.1 * n), low = hz * std::pow(10.0, -0.05), high = hz * std::pow(10.0, 0.05);
        if (low < std::max(lowest_band_hz * 0.8, band.low_hz) || high > band.high_hz) continue;
        WatchedLine line;
        line.hz = hz;
        line.half_width_hz = 0.5 * (high - low);
        bands.push_back(line);
    }
    for (WatchedLine& line : bands) {
        line.log_prior = std::log(bands_share / static_cast<double>(bands.size()));
        lines.push_back(line);
    }
}

}  // namespace

std::vector<WatchedLine> watched_lines(const board::BoardSheet* sheet, const Plan& plan, const tones::UnitTones& unit,
                                       const tones::Band& usable, const PeakBetween& peak_between) {
    const double window = plan.step_seconds - (sheet != nullptr ? settle_seconds(*sheet, plan.parts) : 0.0);
    std::vector<WatchedLine> lines;
    add_tones(unit, 1.0 / window, peak_between, lines);
    if (sheet != nullptr) add_expected(*sheet, plan, usable, 1.0 / window, peak_between, lines);
    add_bands(usable, lines);
    return lines;
}

}  // namespace tattletone::toggle
