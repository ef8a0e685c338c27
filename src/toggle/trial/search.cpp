#include "toggle/trial/search.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <thread>

#include "toggle/trial/lane_sums.h"

namespace tattletone::toggle {
namespace {

constexpr double widest_pace = 0.02;      // an RC-timed processor's (design.md, section 12)
constexpr double as_planned_share = 0.5;  // prior of a crystal's pace: assumed
constexpr double most_sum = 32000.0;
constexpr std::size_t quarters = 4, places_together = 64;

// Within ±2 %, so near each other that the outermost pieces move by a quarter of a step.
std::vector<double> paces_of(double windows) {
    const double outermost = 0.5 * (windows - static_cast<double>(piece_steps));
    const int aside = std::max(1, static_cast<int>(std::ceil(widest_pace * outermost * static_cast<double>(quarters))));
    std::vector<double> paces{0.0};
    for (int i = 1; i <= aside; ++i)
        for (const double sign : {-1.0, 1.0}) paces.push_back(sign * widest_pace * i / aside);
    return paces;
}

}  // namespace

struct ColumnSearch::Largest {
    std::int16_t as_planned[lanes_together], otherwise[lanes_together];
};

ColumnSearch::ColumnSearch(const Recorded& recorded, const std::vector<LineLevels>& lines,
                           const std::vector<double>& log_priors)
    : steps_(recorded.steps), step_seconds_(recorded.step_seconds) {
    const auto whole = static_cast<std::size_t>(recorded.seconds / recorded.step_seconds);
    pieces_ = (whole + piece_steps - 1) / piece_steps;
    blocks_ = (lines.size() + lanes_together - 1) / lanes_together;
    const std::size_t length = pieces_ * piece_steps;
    levels_.assign(blocks_ * quarters * length * lanes_together, 0);
    std::vector<std::vector<StepWindow>> windows;
    for (std::size_t quarter = 0; quarter < quarters; ++quarter)
        windows.push_back(windows_of(recorded, {recorded.step_seconds * static_cast<double>(quarter) / quarters, 0.0}));
    for (std::size_t line = 0; line < lines.size(); ++line) {
        std::vector<std::vector<double>> levels;
        double all = 0.0;
        for (const auto& at : windows) {
            levels.push_back(compared_levels(lines[line], at));
            double sum = 0.0;
            for (const double level : levels.back()) sum += std::abs(level);
            all = std::max(all, sum);
        }
        Lane lane;
        lane.log_prior = log_priors[line];
        lane.windows = static_cast<double>(windows[0].size());
        const double scale = all > 0.0 ? (most_sum - static_cast<double>(length)) / (1.1 * all) : 0.0;
        lane.to_correlation = scale > 0.0 ? 1.0 / (scale * lane.windows) : 0.0;
        lanes_.push_back(lane);
        for (std::size_t quarter = 0; quarter < quarters; ++quarter)
            for (std::size_t i = 0; i < levels[quarter].size(); ++i) {
                const double from = windows[quarter][i].from - recorded.settle_seconds;
                const auto window = static_cast<std::size_t>(
                    std::lround(from / recorded.step_seconds - static_cast<double>(quarter) / quarters));
                if (window >= length) continue;
                levels_[((line / lanes_together * quarters + quarter) * length + window) * lanes_together +
                        line % lanes_together] = static_cast<std::int16_t>(std::lround(levels[quarter][i] * scale));
            }
    }
    paces_ = paces_of(static_cast<double>(whole));
    for (const double pace : paces_) {
        std::vector<int> moved;
        for (std::size_t piece = 0; piece < pieces_; ++piece) {
            const double middle = (static_cast<double>(piece) + 0.5) * piece_steps - 0.5 * static_cast<double>(whole);
            // At a slower pace what comes later looks as if the plan had begun later.
            moved.push_back(static_cast<int>(std::lround(pace * middle * static_cast<double>(quarters))));
            reach_ = std::max(reach_, std::abs(moved.back()));
        }
        moved_.push_back(std::move(moved));
    }
}

double ColumnSearch::score_of(const Lane& lane, bool as_planned, int sum) const {
    const double correlation = std::min(std::abs(sum) * lane.to_correlation, 0.999999);
    const double share =
        as_planned ? as_planned_share : (1.0 - as_planned_share) / static_cast<double>(paces_.size() - 1);
    return -0.5 * lane.windows * std::log1p(-correlation * correlation) + lane.log_prior + std::log(share);
}

std::vector<std::int16_t> ColumnSearch::table_of(std::size_t block) const {
    const std::size_t windows = quarters * pieces_ * piece_steps;
    std::vector<std::int16_t> table(windows / 4 * patterns * lanes_together);
    fill_patterns(levels_.data() + block * windows * lanes_together, windows / 4, table.data());
    return table;
}

void ColumnSearch::compare(const std::vector<std::int16_t>& table, const Column& column,
                           std::vector<std::int16_t>& sums, Largest& largest) const {
    // What the column says of four steps from each on.
    const std::size_t length = pieces_ * piece_steps;
    std::vector<std::uint8_t> nibbles(2 * steps_ + piece_steps);
    for (std::size_t i = 0; i < nibbles.size(); ++i) {
        unsigned bits = 0;
        for (std::size_t b = 0; b < 4; ++b) bits |= static_cast<unsigned>(column[(i + b) % steps_]) << b;
        nibbles[i] = static_cast<std::uint8_t>(bits);
    }
    // Rows by place: place u quarter steps is where the plan began u quarters after the recording (mod the plan), so
    // quarter q and shift s are at q - 4 s. Some rows are there twice, so that no place needs a turn round the end.
    const std::size_t places = quarters * steps_, margin = static_cast<std::size_t>(reach_), rows = places + 2 * margin;
    sums.resize((pieces_ * rows + places_together) * lanes_together);
    std::int16_t* const partial = sums.data() + pieces_ * rows * lanes_together;
    for (std::size_t piece = 0; piece < pieces_; ++piece) {
        std::int16_t* const of_piece = sums.data() + piece * rows * lanes_together;
        for (std::size_t quarter = 0; quarter < quarters; ++quarter) {
            const std::int16_t* const from =
                table.data() + (quarter * length + piece * piece_steps) / 4 * patterns * lanes_together;
            sum_piece(from, nibbles.data() + piece * piece_steps % steps_, steps_, quarter, places,
                      of_piece + margin * lanes_together);
        }
        std::copy_n(of_piece + places * lanes_together, margin * lanes_together, of_piece);
        std::copy_n(of_piece + margin * lanes_together, margin * lanes_together,
                    of_piece + (margin + places) * lanes_together);
    }
    std::fill_n(largest.as_planned, lanes_together, std::int16_t{0});
    std::fill_n(largest.otherwise, lanes_together, std::int16_t{0});
    // A stretch of places at all paces before the next one: what is read again stays near the processor.
    for (std::size_t from = 0; from < places; from += places_together)
        for (std::size_t pace = 0; pace < paces_.size(); ++pace)
            largest_of_pieces(sums.data() + from * lanes_together, pieces_, rows, margin,
                              std::min(places_together, places - from), moved_[pace].data(), partial,
                              pace == 0 ? largest.as_planned : largest.otherwise);
}

std::vector<double> ColumnSearch::scores(std::span<const Column> columns, int threads) const {
    const auto workers = static_cast<std::size_t>(std::max(1, threads));
    // Jobs are blocks of lines times parts of the columns, so that few lines keep all threads busy too.
    const std::size_t parts = std::min(columns.size(), workers), jobs = blocks_ * parts;
    std::vector<std::vector<double>> best(workers, std::vector<double>(columns.size(), -1e9));
    std::atomic<std::size_t> next{0};
    const auto work = [&](std::size_t worker) {
        std::vector<std::int16_t> sums, table;
        std::size_t table_block = blocks_;
        Largest largest;
        for (std::size_t job = next++; job < jobs; job = next++) {
            const std::size_t block = job / parts, part = job % parts;
            if (block != table_block) table = table_of(block);
            table_block = block;
            for (std::size_t c = columns.size() * part / parts; c < columns.size() * (part + 1) / parts; ++c) {
                compare(table, columns[c], sums, largest);
                for (std::size_t lane = 0; lane < lanes_together && block * lanes_together + lane < lanes_.size();
                     ++lane) {
                    const Lane& line = lanes_[block * lanes_together + lane];
                    best[worker][c] = std::max({best[worker][c], score_of(line, true, largest.as_planned[lane]),
                                                score_of(line, false, largest.otherwise[lane])});
                }
            }
        }
    };
    std::vector<std::thread> others;
    for (std::size_t i = 1; i < std::min(workers, jobs); ++i) others.emplace_back(work, i);
    work(0);
    for (std::thread& thread : others) thread.join();
    std::vector<double> scores = best[0];
    for (const auto& some : best)
        for (std::size_t i = 0; i < scores.size(); ++i) scores[i] = std::max(scores[i], some[i]);
    return scores;
}

template <class Take>
void ColumnSearch::each_sum(std::size_t line, const Column& column, const Take& take) const {
    const std::size_t length = pieces_ * piece_steps, places = quarters * steps_;
    std::vector<std::vector<int>> sums(pieces_, std::vector<int>(places, 0));
    for (std::size_t quarter = 0; quarter < quarters; ++quarter) {
        const std::int16_t* const from = levels_.data() +
                                         (line / lanes_together * quarters + quarter) * length * lanes_together +
                                         line % lanes_together;
        for (std::size_t shift = 0; shift < steps_; ++shift)
            for (std::size_t window = 0; window < length; ++window) {
                const int level = from[window * lanes_together];
                sums[window / piece_steps][(places + quarter - quarters * shift) % places] +=
                    column[(window + shift) % steps_] != 0 ? level : -level;
            }
    }
    for (std::size_t pace = 0; pace < paces_.size(); ++pace)
        for (std::size_t place = 0; place < places; ++place) {
            int sum = 0;
            for (std::size_t piece = 0; piece < pieces_; ++piece) {
                const auto at = static_cast<std::ptrdiff_t>(places + place) + moved_[pace][piece];
                sum += sums[piece][static_cast<std::size_t>(at) % places];
            }
            take(place, pace, sum);
        }
}

Match ColumnSearch::best(const Column& column) const {
    Match match;
    match.score = -1e9;
    for (std::size_t line = 0; line < lanes_.size(); ++line)
        each_sum(line, column, [&](std::size_t place, std::size_t pace, int sum) {
            const double score = score_of(lanes_[line], pace == 0, sum);
            if (score <= match.score) return;
            match.score = score;
            match.line = line;
            match.alignment.pace = paces_[pace];
            // The place holds for the recording's middle; from there back to the first step at this pace.
            const double middle = 0.5 * static_cast<double>(pieces_ * piece_steps) * step_seconds_;
            const double planned = step_seconds_ * static_cast<double>(place) / quarters;
            match.alignment.start_seconds = middle - (middle - planned) * (1.0 + paces_[pace]);
        });
    return match;
}

ColumnSearch::Bound ColumnSearch::bound(const LineLevels& levels, const Recorded& recorded, const Column& column,
                                        std::size_t line) const {
    double correlation = 0.0;
    each_sum(line, column, [&](std::size_t, std::size_t, int sum) {
        correlation = std::max(correlation, std::abs(sum) * lanes_[line].to_correlation);
    });
    const auto at = windows_of(recorded, {});
    const std::vector<double> raw = power_levels(levels, at);
    const auto windows = static_cast<double>(raw.size());
    double mean = 0.0, square = 0.0, line_power = 0.0, noise_power = 0.0;
    for (const double level : raw) mean += level / windows;
    for (const double level : raw) square += (level - mean) * (level - mean) / windows;
    for (const StepWindow& window : at) {
        const auto measured = levels.within(window.from, window.to);
        line_power += measured.line;
        noise_power += measured.noise;
    }
    Bound found;
    const double nepers = 2.0 * std::sqrt(square) * std::min(1.0, correlation + 2.0 / std::sqrt(windows));
    const double over_noise = 1.0 - noise_power / std::max(line_power, 1e-30);
    found.change_db = 10.0 / std::log(10.0) * nepers;
    // On less off against the mean of the two, of which the line is so much.
    found.share = over_noise > 0.2 ? std::min(2.0, 2.0 * std::tanh(0.5 * nepers) / over_noise) : 2.0;
    return found;
}

}  // namespace tattletone::toggle
