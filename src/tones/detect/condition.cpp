#include "tones/detect/condition.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <numeric>
#include <optional>

#include "base/decibels.h"
#include "base/wide_loops.h"
#include "tones/detect/noise_floor.h"

namespace tattletone::tones {
namespace {

constexpr double lowest_hz = 40.0, highest_hz = 20000.0;
constexpr double quiet_share = 0.2;
constexpr std::size_t most_moments = 60;
// How the fall is measured that RejectionLimits::cliff_db judges: not varied by rejection_cost.
constexpr double high_block_hz = 250.0, low_block_hz = 25.0;
constexpr std::size_t cliff_blocks = 4;
constexpr std::size_t shelf_blocks = 7;
// A flat top that is entered or left in one step of eight 16-bit steps or more is a limit; the
// crest of a hum is flat too, but smooth.
constexpr float abrupt_step = 2.4e-4f;
// A high tone is at the limit for a sample or two at a time. What tells it from a sine that is not clipped is how many
// samples are as large as the largest: of the sine those within a step of 16 bits, (2/π) acos(1 - step / peak), and so
// many times that is no sine's.
constexpr double step_16_bit = 1.0 / 32768.0, no_sine = 1.5;
constexpr float as_large = 0.99997f;
constexpr double level_seconds = 0.05;
// No recording of rejection_cost is silent: not measured.
constexpr double silent_dbfs = -96.0;
constexpr double digital_silence_dbfs = -110.0;

double quantile(std::vector<float> values, double share) {
    if (values.empty()) return -400.0;
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

// Level of each block of bins in the quiet moments: the lower fifth of the frames. A block's level
// in a frame is its middle bin's, so that a line in it does not count.
std::vector<double> quiet_levels_db(const spectrum::Frames& frames, double block_hz, double end_hz) {
    std::vector<double> levels;
    const std::size_t every = std::max<std::size_t>(frames.count / most_moments, 1);
    std::vector<double> means((frames.count + every - 1) / every);
    for (double low = 0.0; low + block_hz <= end_hz + 1e-6; low += block_hz) {
        const auto first = static_cast<std::size_t>(std::ceil(low / frames.bin_hz));
        const auto last = std::min(static_cast<std::size_t>(std::ceil((low + block_hz) / frames.bin_hz)), frames.bins);
        if (first >= last) break;
        bulk_means(frames.rows.data() + first, last - first, every * frames.bins, means);
        levels.push_back(base::power_to_db(quantile({means.begin(), means.end()}, quiet_share)));
    }
    return levels;
}

std::string format(const char* pattern, double value) {
    char text[256];
    std::snprintf(text, sizeof text, pattern, value);
    return text;
}

struct Sums {
    float squares, steps, peak;
    int at_peak;  // as large as `limit`
    bool run;     // three equal samples stand in a row
};

// `before` is the sample before the first; `size` is 3 or more.
TATTLETONE_WIDE_LOOPS
Sums sums_of(const float* samples, std::size_t size, float before, float limit) {
    constexpr std::size_t n = 8;
    float squares[n] = {}, steps[n] = {}, peak[n] = {};
    int runs[n] = {}, at_peak[n] = {};
    const auto add = [&](std::size_t i, std::size_t lane, float previous, float second) {
        const float x = samples[i], step = x - previous, size_of_x = std::abs(x);
        squares[lane] += x * x;
        steps[lane] += step * step;
        peak[lane] = peak[lane] < size_of_x ? size_of_x : peak[lane];
        at_peak[lane] += static_cast<int>(size_of_x >= limit);
        runs[lane] |= static_cast<int>(step == 0.0f) & static_cast<int>(previous == second);
    };
    add(0, 0, before, before + 1.0f);
    add(1, 1, samples[0], before);
    std::size_t i = 2;
    for (; i + n <= size; i += n) {
        TATTLETONE_KEEP_LOOP
        for (std::size_t lane = 0; lane < n; ++lane) add(i + lane, lane, samples[i + lane - 1], samples[i + lane - 2]);
    }
    for (; i < size; ++i) add(i, 0, samples[i - 1], samples[i - 2]);
    return {std::accumulate(squares, squares + n, 0.0f), std::accumulate(steps, steps + n, 0.0f),
            *std::max_element(peak, peak + n), std::accumulate(at_peak, at_peak + n, 0),
            *std::max_element(runs, runs + n) != 0};
}

}  // namespace

Band usable_band(const spectrum::Frames& frames, const RejectionLimits& limits) {
    const double nyquist_hz = frames.bin_hz * static_cast<double>(frames.bins - 1);
    Band band{lowest_hz, std::min(highest_hz, 0.98 * nyquist_hz)};
    const std::vector<double> high = quiet_levels_db(frames, high_block_hz, nyquist_hz);
    double above = -400.0;
    std::optional<std::size_t> edge;
    for (std::size_t b = high.size(); b-- > shelf_blocks;) {
        if (b + cliff_blocks >= high.size()) continue;
        above = std::max(above, high[b + cliff_blocks]);
        // A shelf ends here, not one loud block: the middle of the blocks below counts.
        std::vector<double> shelf(high.begin() + static_cast<std::ptrdiff_t>(b + 1 - shelf_blocks),
                                  high.begin() + static_cast<std::ptrdiff_t>(b + 1));
        std::nth_element(shelf.begin(), shelf.begin() + shelf_blocks / 2, shelf.end());
        if (std::min(high[b], shelf[shelf_blocks / 2]) >= above + limits.cliff_db) {
            edge = b;
            break;
        }
    }
    if (edge) {
        // The last block that is still within 6 dB of the shelf.
        std::size_t last = *edge;
        while (last + 1 < high.size() && high[last + 1] > high[*edge] - 6.0) ++last;
        band.high_hz = std::min(band.high_hz, static_cast<double>(last + 1) * high_block_hz);
    }
    const std::vector<double> low = quiet_levels_db(frames, low_block_hz, 1000.0);
    double below = -400.0;
    for (std::size_t b = 0; b + cliff_blocks < low.size(); ++b) {
        below = std::max(below, low[b]);
        if (low[b + cliff_blocks] >= below + limits.cliff_db && low[b + cliff_blocks] > -200.0) {
            std::size_t at = b + cliff_blocks;
            while (at > b && low[at - 1] > low[b + cliff_blocks] - 6.0) --at;
            band.low_hz = std::max(band.low_hz, static_cast<double>(at) * low_block_hz);
        }
    }
    band.low_hz = std::min(band.low_hz, 0.5 * band.high_hz);
    return band;
}

void ConditionMeter::end_run(float exit_step) {
    if (static_cast<double>(run_) >= 0.02 * sample_rate_hz_) {
        frozen_ += run_;
        ++frozen_runs_;
    }
    if (run_ >= 3 && std::abs(last_) > 0.1f && std::abs(last_) >= 0.995f * peak_ &&
        std::max(entry_step_, exit_step) > abrupt_step)
        at_limit_ += run_;
}

// `count` samples, of which the largest is `size`, are as large as the largest so far, or larger.
void ConditionMeter::count_at_peak(float size, std::size_t count) {
    if (as_large * size > peak_)
        at_peak_ = 1;
    else if (size >= as_large * peak_)
        at_peak_ += count;
    peak_ = std::max(peak_, size);
}

void ConditionMeter::add_one(float x) {
    square_sum_ += static_cast<double>(x) * x;
    count_at_peak(std::abs(x), 1);
    const double step = count_ > 0 ? x - last_ : 0.0;
    frame_square_ += step * step;
    if (count_ > 0 && x == last_) {
        ++run_;
    } else {
        const float entry = count_ > 0 ? std::abs(x - last_) : 0.0f;
        if (count_ > 0) end_run(entry);
        entry_step_ = entry;
        run_ = 1;
    }
    last_ = x;
    ++count_;
}

void ConditionMeter::add(std::span<const float> samples) {
    constexpr std::size_t block = 64;
    const auto frame = std::max<std::size_t>(static_cast<std::size_t>(level_seconds * sample_rate_hz_), 1);
    while (!samples.empty()) {
        const auto part = samples.first(std::min({block, samples.size(), frame - frame_count_}));
        samples = samples.subspan(part.size());
        const std::size_t size = part.size();
        // Where no run of equal samples passes an end and none is longer than two, which counts for
        // nothing, sums are all there is to do.
        bool sample_by_sample =
            count_ == 0 || run_ > 1 || size < 3 || part[0] == last_ || part[size - 1] == part[size - 2];
        if (!sample_by_sample) {
            const Sums sums = sums_of(part.data(), size, last_, as_large * peak_);
            sample_by_sample = sums.run;
            if (!sums.run) {
                square_sum_ += sums.squares;
                frame_square_ += sums.steps;
                count_at_peak(sums.peak, static_cast<std::size_t>(sums.at_peak));
                entry_step_ = std::abs(part[size - 1] - part[size - 2]);
                last_ = part.back();
                count_ += size;
            }
        }
        if (sample_by_sample)
            for (const float x : part) add_one(x);
        frame_count_ += part.size();
        if (frame_count_ == frame) {
            frame_db_.push_back(
                static_cast<float>(base::mean_square_to_dbfs(frame_square_ / static_cast<double>(frame))));
            frame_square_ = 0.0;
            frame_count_ = 0;
        }
    }
}

bool ConditionMeter::silent() const {
    return count_ == 0 || base::mean_square_to_dbfs(square_sum_ / static_cast<double>(count_)) < silent_dbfs;
}

bool ConditionMeter::clipped() const {
    return clipped_share() > 1e-5;
}

double ConditionMeter::clipped_share() const {
    const double count = static_cast<double>(std::max<std::size_t>(count_, 1));
    const double in_runs = static_cast<double>(at_limit_) / count, at_peak = static_cast<double>(at_peak_) / count;
    if (peak_ <= 0.1f) return in_runs;
    const double of_a_sine = 2.0 / std::numbers::pi * std::acos(1.0 - step_16_bit / std::min(1.0, 1.0 * peak_));
    // One that is there for a part of the time has so much less, and more power at its peak against the mean.
    const double there = std::min(1.0, 2.0 * square_sum_ / count / (1.0 * peak_ * peak_));
    return at_peak > no_sine * of_a_sine * there ? std::max(in_runs, at_peak) : in_runs;
}

std::vector<std::string> ConditionMeter::notices(std::span<const float> noise_db, double frame_seconds) const {
    ConditionMeter whole = *this;
    whole.end_run(0.0f);
    whole.run_ = 0;
    if (noise_db.empty()) return whole.notices_of_ended_runs(whole.frame_db_, level_seconds);
    return whole.notices_of_ended_runs(noise_db, frame_seconds);
}

std::vector<std::string> ConditionMeter::notices_of_ended_runs(std::span<const float> noise_db,
                                                               double frame_seconds) const {
    std::vector<std::string> notices;
    if (count_ == 0) return notices;
    const double count = static_cast<double>(count_);
    if (silent()) {
        notices.push_back("silence: nothing above " + format("%.0f dBFS", silent_dbfs) +
                          " was recorded. Check that the microphone is chosen, switched on and "
                          "allowed to record");
        return notices;
    }
    if (clipped())
        notices.push_back(format("clipped: %.2g %% of the samples are at the limit", 100.0 * clipped_share())
                              .append(". Clipping makes harmonics that the board does not have; "
                                      "lower the recording level"));
    if (frozen_runs_ > 0 && static_cast<double>(frozen_) < 0.9 * count)
        notices.push_back(format("drop-outs: %.2g s of the recording hold one value only",
                                 static_cast<double>(frozen_) / sample_rate_hz_) +
                          ". Sound was lost there, or a noise gate closed");
    const auto second = static_cast<std::ptrdiff_t>(1.0 / frame_seconds);
    if (static_cast<std::ptrdiff_t>(noise_db.size()) >= 3 * second) {
        std::vector<float> start(noise_db.begin(), noise_db.begin() + second);
        std::vector<float> rest(noise_db.begin() + 2 * second, noise_db.end());
        const double fall = quantile(start, 0.2) - quantile(rest, 0.8);
        if (fall > 10.0)
            notices.push_back(format("the noise falls by %.0f dB after the first second", fall) +
                              ": speech enhancement or noise suppression is probably on, and it "
                              "removes steady tones. Switch it off and record again");
        const double quiet = static_cast<double>(std::count_if(frame_db_.begin(), frame_db_.end(),
                                                               [](float db) { return db < digital_silence_dbfs; })) /
                             static_cast<double>(frame_db_.size());
        if (quiet > 0.1 && frozen_runs_ == 0)
            notices.push_back(format("%.0f %% of the recording is digital silence", 100.0 * quiet) +
                              ": a noise gate is probably on. Switch speech enhancement off");
        // The quiet moments of thirds of the recording: a slow change is the gain's, not the
        // room's.
        const std::size_t third = noise_db.size() / 3;
        double low = 400.0, high = -400.0;
        for (std::size_t i = 0; i < 3; ++i) {
            const double level = quantile({noise_db.begin() + static_cast<std::ptrdiff_t>(i * third),
                                           noise_db.begin() + static_cast<std::ptrdiff_t>((i + 1) * third)},
                                          0.1);
            low = std::min(low, level);
            high = std::max(high, level);
        }
        if (fall <= 10.0 && high - low > 10.0 && low > digital_silence_dbfs)
            notices.push_back(format("the quiet moments change by %.0f dB in the course of the recording", high - low) +
                              ": automatic gain may be on, so levels are not comparable");
    }
    return notices;
}

}  // namespace tattletone::tones
