#include "tones/join/sound_mark.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "tones/tones.h"

namespace tattletone::tones {
namespace {

constexpr std::size_t bands = SoundMark::bands;
constexpr std::size_t cells = bands - 1;  // of a row: differences of neighbouring bands
constexpr double step_seconds = 0.075;    // as the finder's short frames; half of it between two ways to lay them
constexpr double least_mean_square = 1e-16;
constexpr float widest = 2.5f;  // deviations
// A row in which so much changes holds an event: a clap, a beep that begins. Two recordings may have one at the same
// moment, and a board that beeps makes a pattern of them.
constexpr double event_rows = 1.8;      // times the middle row
constexpr float least_change = 0.003f;  // a level that changes less is a tone's: what is left of it is rounding
constexpr std::size_t fewest_rows = 20, whole_rows = 400, part_rows = 270;
constexpr int parts = 3;
constexpr std::ptrdiff_t beside = 4;  // half steps from the best way that belong to it

// A copy's: what copies and takes of one sound give is printed by tests/tones/sound_mark_test.cpp.
constexpr double least_correlation = 0.2, least_over_chance = 8.0, least_over_others = 1.7;
// Of sound that repeats all other ways are alike too; a copy is then known by being nearly the same.
constexpr double nearly_the_same = 0.5, least_over_alike = 4.5;

/// Changes of the differences of neighbouring bands from one row to the row a step later, each band's scaled to its own
/// size and cut off: what one event does counts for no more than what noise does all the time.
struct Changes {
    std::size_t rows = 0;
    std::vector<float> values;
    std::vector<double> squares;  ///< summed up to each row

    const float* row(std::size_t index) const { return values.data() + index * cells; }
};

std::vector<float> levels_every(const SoundMark& mark, double seconds, double from) {
    std::vector<float> levels;
    const auto& at = mark.seconds;
    std::size_t right = 1;
    for (double t = at.front() + from; t <= at.back(); t += seconds) {
        while (right + 1 < at.size() && at[right] < t) ++right;
        const double width = std::max(1e-6, static_cast<double>(at[right] - at[right - 1]));
        const auto part = static_cast<float>(std::clamp((t - at[right - 1]) / width, 0.0, 1.0));
        const float *a = mark.rows.data() + (right - 1) * bands, *b = a + bands;
        for (std::size_t band = 0; band < bands; ++band) levels.push_back(a[band] + part * (b[band] - a[band]));
    }
    return levels;
}

Changes changes_of(const SoundMark& mark, double from) {
    const std::vector<float> levels = levels_every(mark, step_seconds, from);
    Changes changes;
    const std::size_t rows = levels.size() / bands;
    if (rows < 2) return changes;
    changes.rows = rows - 1;
    changes.values.resize(changes.rows * cells);
    const auto sloping = [&](std::size_t row, std::size_t cell) {
        return levels[row * bands + cell] - levels[row * bands + cell + 1];
    };
    std::vector<float> sizes(changes.rows);
    for (std::size_t cell = 0; cell < cells; ++cell) {
        for (std::size_t row = 0; row < changes.rows; ++row) {
            const float change = sloping(row + 1, cell) - sloping(row, cell);
            changes.values[row * cells + cell] = change;
            sizes[row] = std::abs(change);
        }
        const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
        std::nth_element(sizes.begin(), middle, sizes.end());
        const float scale = 1.0f / std::max(1.48f * *middle, least_change);
        for (std::size_t row = 0; row < changes.rows; ++row) {
            float& value = changes.values[row * cells + cell];
            value = std::clamp(value * scale, -widest, widest);
        }
    }
    std::vector<double> squares(changes.rows);
    for (std::size_t row = 0; row < changes.rows; ++row) {
        const float* values = changes.row(row);
        squares[row] = std::inner_product(values, values + cells, values, 0.0f);
    }
    std::vector<double> sorted = squares;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    changes.squares.assign(changes.rows + 1, 0.0);
    for (std::size_t row = 0; row < changes.rows; ++row) {
        const bool event = squares[row] > event_rows * *middle;
        if (event) std::fill_n(changes.values.begin() + static_cast<std::ptrdiff_t>(row * cells), cells, 0.0f);
        changes.squares[row + 1] = changes.squares[row] + (event ? 0.0 : squares[row]);
    }
    return changes;
}

struct Way {
    std::ptrdiff_t half_steps = 0;
    std::size_t rows = 0;
    double correlation = 0.0;
    double deviations() const { return correlation * std::sqrt(static_cast<double>(rows * cells)); }
};

/// `count` rows of the short one from `begin` on, laid over the long one so that its row 0 meets row `shift`.
Way laid(const Changes& is_short, std::size_t begin, std::size_t count, const Changes& is_long, std::ptrdiff_t shift,
         std::ptrdiff_t half_steps) {
    const auto first = std::max<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(begin), -shift);
    const auto last =
        std::min(static_cast<std::ptrdiff_t>(begin + count), static_cast<std::ptrdiff_t>(is_long.rows) - shift);
    Way way{half_steps, 0, 0.0};
    if (last - first < static_cast<std::ptrdiff_t>(fewest_rows)) return way;
    way.rows = static_cast<std::size_t>(last - first);
    const float* a = is_short.row(static_cast<std::size_t>(first));
    const float* b = is_long.row(static_cast<std::size_t>(first + shift));
    float lanes[8] = {};
    const std::size_t size = way.rows * cells;
    std::size_t i = 0;
    for (; i + 8 <= size; i += 8)
        for (std::size_t lane = 0; lane < 8; ++lane) lanes[lane] += a[i + lane] * b[i + lane];
    double sum = std::accumulate(lanes, lanes + 8, 0.0);
    for (; i < size; ++i) sum += a[i] * b[i];
    const auto squares = [](const Changes& of, std::ptrdiff_t from, std::ptrdiff_t to) {
        return of.squares[static_cast<std::size_t>(to)] - of.squares[static_cast<std::size_t>(from)];
    };
    const double size_of_both = squares(is_short, first, last) * squares(is_long, first + shift, last + shift);
    if (size_of_both > 0.0) way.correlation = sum / std::sqrt(size_of_both);
    return way;
}

Likeness judge(const std::vector<Way>& ways) {
    Likeness likeness;
    if (ways.empty()) return likeness;
    const Way& best = *std::max_element(ways.begin(), ways.end(),
                                        [](const Way& a, const Way& b) { return a.deviations() < b.deviations(); });
    double squares = 0.0, next = 0.0;
    std::size_t count = 0;
    for (const Way& way : ways) {
        if (std::abs(way.half_steps - best.half_steps) <= beside) continue;
        squares += way.deviations() * way.deviations();
        next = std::max(next, way.deviations());
        ++count;
    }
    likeness.correlation = best.correlation;
    likeness.overlap_seconds = static_cast<double>(best.rows) * step_seconds;
    likeness.shift_seconds = 0.5 * step_seconds * static_cast<double>(best.half_steps);
    if (count < fewest_rows || best.correlation <= 0.0) return likeness;
    const double chance = std::max(1.0, std::sqrt(squares / static_cast<double>(count)));
    likeness.over_chance = best.deviations() / chance;
    likeness.over_others = best.deviations() / std::max(next, chance);
    return likeness;
}

bool enough(const Likeness& likeness) {
    return likeness.over_others >= least_over_others &&
           ((likeness.correlation >= least_correlation && likeness.over_chance >= least_over_chance) ||
            (likeness.correlation >= nearly_the_same && likeness.over_chance >= least_over_alike));
}

// What stands out of one recording so far has to stand in a copy of it; copies are trimmed and compressed. Where the
// noise leaves no doubt only what stands out far has to: beside a moving line a weak one is found or is not.
constexpr double stands_out_db = 9.0, stands_far_out_db = 25.0, near_hz = 1.0, near_share = 1e-4, same_gain_db = 4.0;
constexpr double beyond_doubt_over_chance = 12.0, beyond_doubt_over_others = 3.0;

double middle_gain_db(const Tones& from, const Tones& to) {
    std::vector<double> gains;
    for (const FloorPoint& point : from.floor)
        if (point.hz > 300.0 && point.hz < 4000.0 && point.hz < to.usable.high_hz)
            gains.push_back(floor_at(to, point.hz).noise_dbfs_per_hz - point.noise_dbfs_per_hz);
    if (gains.empty()) return 0.0;
    const auto middle = gains.begin() + static_cast<std::ptrdiff_t>(gains.size() / 2);
    std::nth_element(gains.begin(), middle, gains.end());
    return *middle;
}

bool holds_tones_of(const Tones& copy, const Tones& of, double least_db) {
    if (copy.floor.empty() || of.floor.empty()) return false;
    const double gain_db = middle_gain_db(of, copy);
    const double shorter_db = 10.0 * std::log10(std::max(1.0, of.seconds / std::max(copy.seconds, 0.1)));
    return std::none_of(of.tones.begin(), of.tones.end(), [&](const Tone& tone) {
        const bool counts = tone.steady && tone.present > 0.9 && tone.evidence > least_db + shorter_db &&
                            tone.hz > copy.usable.low_hz && tone.hz < 0.9 * copy.usable.high_hz;
        return counts && std::none_of(copy.tones.begin(), copy.tones.end(), [&](const Tone& other) {
                   return std::abs(other.hz - tone.hz) < std::max(near_hz, near_share * tone.hz) &&
                          std::abs(other.level_dbfs - tone.level_dbfs - gain_db) < same_gain_db;
               });
    });
}

}  // namespace

void add_mark_row(std::span<const float> densities, double bin_hz, std::vector<float>& rows) {
    for (std::size_t band = 0; band < bands; ++band) {
        const double low = SoundMark::low_hz + static_cast<double>(band) * SoundMark::band_hz;
        const auto first = static_cast<std::size_t>(std::ceil(low / bin_hz));
        const auto last = static_cast<std::size_t>(std::ceil((low + SoundMark::band_hz) / bin_hz));
        double sum = 0.0;
        for (std::size_t bin = first; bin < last && bin < densities.size(); ++bin) sum += densities[bin];
        rows.push_back(static_cast<float>(std::log(std::max(sum * bin_hz, least_mean_square))));
    }
}

Likeness likeness_of(const SoundMark& first, const SoundMark& second) {
    const bool swapped = second.seconds.size() < first.seconds.size();
    const SoundMark &small = swapped ? second : first, &large = swapped ? first : second;
    if (small.seconds.size() < fewest_rows + 2) return {};
    const Changes is_short = changes_of(small, 0.0);
    const Changes is_long[2] = {changes_of(large, 0.0), changes_of(large, 0.5 * step_seconds)};
    const bool whole = is_short.rows <= whole_rows;
    Likeness best;
    for (int part = 0; part < (whole ? 1 : parts); ++part) {
        const std::size_t count = whole ? is_short.rows : part_rows;
        const std::size_t begin =
            whole ? 0 : (is_short.rows - part_rows) * static_cast<std::size_t>(part) / (parts - 1);
        std::vector<Way> ways;
        const auto reach = static_cast<std::ptrdiff_t>(count - fewest_rows);
        const auto start = static_cast<std::ptrdiff_t>(begin);
        for (std::ptrdiff_t shift = -start - reach;
             shift <= static_cast<std::ptrdiff_t>(is_long[0].rows - fewest_rows) - start; ++shift)
            for (const std::ptrdiff_t half : {0, 1}) {
                const Way way = laid(is_short, begin, count, is_long[half], shift, 2 * shift + half);
                if (way.rows >= fewest_rows) ways.push_back(way);
            }
        const Likeness likeness = judge(ways);
        if (part == 0 || likeness.over_chance > best.over_chance) best = likeness;
        if (enough(best)) break;
    }
    // The short one's row 0 meets the long one's at the shift: there it begins.
    best.shift_seconds += large.seconds.front() - small.seconds.front();
    if (!swapped) best.shift_seconds = -best.shift_seconds;
    return best;
}

bool same_sound(const SoundMark& first, const SoundMark& second) {
    return enough(likeness_of(first, second));
}

bool same_sound(const Tones& first, const Tones& second) {
    const auto hold = [&](double least_db) {
        return holds_tones_of(first, second, least_db) && holds_tones_of(second, first, least_db);
    };
    if (!first.mark || !second.mark || !hold(stands_far_out_db)) return false;
    const Likeness likeness = likeness_of(*first.mark, *second.mark);
    const bool beyond_doubt =
        likeness.over_chance >= beyond_doubt_over_chance && likeness.over_others >= beyond_doubt_over_others;
    return enough(likeness) && (beyond_doubt || hold(stands_out_db));
}

}  // namespace tattletone::tones
