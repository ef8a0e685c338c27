// What the toggle plan's trial is worth: uniform p-values without an effect, detection against a receiver that knows
// start, pace, line and noise, and its time.
//     toggle_trials uniform [RECORDINGS] | power [RECORDINGS] | speed
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>

#include "board/sheet/sheet_reader.h"
#include "effectless.h"
#include "toggle/trial/trial.h"
#include "toggled_sound.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

double seconds_since(std::chrono::steady_clock::time_point start) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

toggle::Plan plan_with(std::size_t parts, std::size_t steps, double step, std::uint64_t seed) {
    toggle::Plan plan;
    for (std::size_t i = 0; i < parts; ++i) plan.parts.push_back("part" + std::to_string(i));
    toggle::Generator generator(seed);
    plan.columns = toggle::draw_columns(generator, parts, steps);
    plan.step_seconds = step;
    return plan;
}

struct Heard {
    tones::Tones found;
    tones::UnitTones unit;
};

Heard hear(const sound::Recording& recording) {
    Heard heard;
    tones::Take take;
    take.path = recording.origin;
    take.found = heard.found = tones::find_tones(recording);
    heard.unit = tones::unite({take}, nullptr);
    return heard;
}

// Kolmogorov's and Smirnov's distance to the uniform distribution, and its asymptotic p-value.
double ks_p(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const double count = static_cast<double>(values.size());
    double distance = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i)
        distance = std::max(
            {distance, static_cast<double>(i + 1) / count - values[i], values[i] - static_cast<double>(i) / count});
    const double x = (std::sqrt(count) + 0.12 + 0.11 / std::sqrt(count)) * distance;
    double p = 0.0;
    for (int k = 1; k < 100; ++k) p += 2.0 * (k % 2 == 1 ? 1.0 : -1.0) * std::exp(-2.0 * k * k * x * x);
    return std::clamp(p, 0.0, 1.0);
}

void uniform(int recordings) {
    std::vector<double> all, by_kind[effectless_kinds];
    int proven = 0;
    for (int i = 0; i < recordings; ++i) {
        Random random(1000 + static_cast<std::uint64_t>(i));
        const toggle::Plan plan = plan_with(1, 48, 0.5, random.bits());
        const auto recording = effectless(i, 25.5, random);
        const Heard heard = hear(recording);
        toggle::TrialOptions options;
        options.threads = 1;
        options.seed = 7 + static_cast<std::uint64_t>(i);
        const auto trial = toggle::try_plan(plan, nullptr, recording, heard.unit, heard.found, options);
        if (!trial) {
            std::printf("recording %d: %s\n", i, to_sentence(trial.error()).c_str());
            continue;
        }
        // Between its own p and the next smaller one that was possible, so that it is continuous.
        const double p = random.uniform(trial->parts[0].next_p, trial->parts[0].p);
        proven += trial->parts[0].p <= toggle::proven_p;
        all.push_back(p);
        by_kind[i % effectless_kinds].push_back(p);
        if (i % 100 == 99) {
            std::printf("%d recordings: KS p %.3f, %d at p <= 0.001\n", i + 1, ks_p(all), proven);
            std::fflush(stdout);
        }
    }
    const char* const kinds[] = {"noise", "speech", "music", "mains and fan", "switching neighbour", "real rooms"};
    for (int kind = 0; kind < effectless_kinds; ++kind)
        std::printf("%-20s %4zu recordings, KS p %.3f\n", kinds[kind], by_kind[kind].size(), ks_p(by_kind[kind]));
    std::printf("all %zu: KS p %.3f, %d at p <= 0.001\n", all.size(), ks_p(all), proven);
}

// Detection of a receiver that knows the start, the pace, the line and the noise: the energies of the steps in which
// the part is on, each a noncentral chi-square of two degrees, against the energies of noise alone at p = 0.001.
double known_receiver(double ratio, int steps, Random& random, bool contrast) {
    constexpr int trials = 4000;
    const int on = steps / 2;
    const auto statistic = [&](double with) {
        double sum = 0.0;
        for (int i = 0; i < steps; ++i) {
            const double a = random.normal() * std::sqrt(0.5) + (i < on ? std::sqrt(with) : 0.0),
                         b = random.normal() * std::sqrt(0.5);
            if (i < on)
                sum += a * a + b * b;
            else if (contrast)
                sum -= a * a + b * b;
        }
        return sum;
    };
    static double threshold[2] = {0.0, 0.0};
    if (threshold[contrast] == 0.0) {
        std::vector<double> noise(40000);
        for (double& value : noise) value = statistic(0.0);
        std::nth_element(noise.begin(), noise.begin() + 39, noise.end(), std::greater<>());
        threshold[contrast] = noise[39];
    }
    int found = 0;
    for (int i = 0; i < trials; ++i) found += statistic(ratio) > threshold[contrast];
    return static_cast<double>(found) / trials;
}

// Detection of a receiver that knows line and noise and searches the start, eighths of a step, and `paces` paces within
// ±2 %: the largest contrast of energies over all of these, against that of noise alone at p = 0.001. No test by
// randomised columns can know more: what all columns have in common, the sum of all energies, tells it nothing.
class SearchingReceiver {
  public:
    SearchingReceiver(std::size_t steps, int paces, Random& random)
        : steps_(steps), paces_(paces), cells_((steps + 4) * cells_a_step), random_(random) {
        constexpr std::size_t trials = 20000, above = trials / 1000;
        std::vector<double> noise(trials);
        for (double& value : noise) value = largest(0.0);
        std::nth_element(noise.begin(), noise.begin() + above, noise.end(), std::greater<>());
        threshold_ = noise[above];
    }
    double found(double ratio) {
        constexpr int trials = 2000;
        int found = 0;
        for (int i = 0; i < trials; ++i) found += largest(ratio) > threshold_;
        return static_cast<double>(found) / trials;
    }

  private:
    static constexpr std::size_t cells_a_step = 8;
    static constexpr double widest_pace = 0.02;

    // Of one recording of a plan drawn for it: the windows' energies are 1 in the noise and `ratio` more where it is
    // on.
    double largest(double ratio) {
        toggle::Generator generator(random_.bits());
        const toggle::Column column = toggle::draw_column(generator, steps_);
        const double start = random_.uniform(0.0, static_cast<double>(steps_));
        const double pace = paces_ > 1 ? random_.uniform(-widest_pace, widest_pace) : 0.0;
        const double share = 1.0 / static_cast<double>(cells_a_step), sd = std::sqrt(0.5 * share);
        std::vector<float> real(cells_), imaginary(cells_), energies(cells_ - cells_a_step);
        for (std::size_t cell = 0; cell < cells_; ++cell) {
            double on = 0.0;
            for (const double within : {0.125, 0.375, 0.625, 0.875}) {
                const double at = ((static_cast<double>(cell) + within) * share - start) / (1.0 + pace);
                const auto step = static_cast<long long>(std::floor(at)) + 10 * static_cast<long long>(steps_);
                on += 0.25 * column[static_cast<std::size_t>(step) % steps_];
            }
            real[cell] = static_cast<float>(sd * random_.normal() + share * std::sqrt(ratio) * on);
            imaginary[cell] = static_cast<float>(sd * random_.normal());
        }
        for (std::size_t cell = 0; cell < energies.size(); ++cell) {
            float a = 0.0f, b = 0.0f;
            for (std::size_t i = cell; i < cell + cells_a_step; ++i) {
                a += real[i];
                b += imaginary[i];
            }
            energies[cell] = a * a + b * b;
        }
        std::vector<float> signs(2 * steps_), sums(steps_);
        for (std::size_t i = 0; i < signs.size(); ++i) signs[i] = column[i % steps_] != 0 ? 1.0f : -1.0f;
        float most = 0.0f;
        for (int p = 0; p < paces_; ++p) {
            const double tried = paces_ > 1 ? widest_pace * (2.0 * p / (paces_ - 1) - 1.0) : 0.0;
            for (std::size_t offset = 0; offset < cells_a_step; ++offset) {
                std::fill(sums.begin(), sums.end(), 0.0f);
                for (std::size_t window = 0; window < steps_; ++window) {
                    const double from = static_cast<double>(window) * (1.0 + tried) * static_cast<double>(cells_a_step);
                    const float energy = energies[offset + static_cast<std::size_t>(std::lround(from))];
                    for (std::size_t shift = 0; shift < steps_; ++shift) sums[shift] += energy * signs[window + shift];
                }
                for (const float sum : sums) most = std::max(most, sum);
            }
        }
        return static_cast<double>(most);
    }

    std::size_t steps_;
    int paces_;
    std::size_t cells_;
    Random& random_;
    double threshold_ = 0.0;
};

// The ratio at which a curve passes a share, by straight lines.
double crossing(const std::vector<std::pair<double, double>>& curve, double share) {
    for (std::size_t i = 1; i < curve.size(); ++i)
        if (curve[i - 1].second < share && curve[i].second >= share)
            return curve[i - 1].first + (curve[i].first - curve[i - 1].first) * (share - curve[i - 1].second) /
                                            (curve[i].second - curve[i - 1].second);
    return 99.0;
}

void power(int recordings) {
    const auto reading = board::parse_sheet(
        "[board]\nname = \"B\"\n[[part]]\nid = \"part0\"\n[[part.rate]]\nid = \"r\"\nhz = 3000\ntolerance_ppm = "
        "20\nshape = \"sine\"\n",
        "power.toml");
    constexpr int steps = 120;
    const double step = 0.5, band = 0.5 * critical_band_hz(3000.0);
    std::vector<std::pair<double, double>> ours, pace, known, contrast, start, start_pace;
    Random chance(5);
    SearchingReceiver starts(steps, 1, chance), starts_paces(steps, 17, chance);
    std::printf(
        "tone-to-noise dB   a step's ratio dB   found   pace within 2 %%   knows all   by contrast   knows line, "
        "searches start   start and pace\n");
    for (double db = -3.0; db <= 5.01; db += 1.0) {
        const double ratio_db = db - 10.0 * std::log10(band);
        int found[2] = {0, 0};
        for (int i = 0; i < recordings; ++i)
            for (const int slow : {0, 1}) {
                Random random(90000 + static_cast<std::uint64_t>(i));
                const toggle::Plan plan = plan_with(1, steps, step, random.bits());
                Performance performance;
                performance.sample_rate_hz = 8000.0;
                performance.start_seconds = random.uniform(0.0, 60.0);
                performance.pace = slow == 1 ? random.uniform(-0.02, 0.02) : random.uniform(-1e-4, 1e-4);
                performance.seconds = 60.5 * (1.0 + performance.pace);
                performance.lines = {{0, 3000.0, ratio_db}};
                const auto recording =
                    recording_of(perform(performance, step, steps, switching_of(plan), random), 8000.0);
                // A tone this weak is found by none but its part's rate, so the finder's time is saved.
                Heard heard;
                heard.found.usable = {40.0, 3900.0};
                toggle::TrialOptions options;
                options.threads = 1;
                const auto trial = toggle::try_plan(plan, &*reading.sheet, recording, heard.unit, heard.found, options);
                found[slow] += trial && trial->parts[0].p <= toggle::proven_p;
            }
        ours.push_back({db, static_cast<double>(found[0]) / recordings});
        pace.push_back({db, static_cast<double>(found[1]) / recordings});
        known.push_back({db, known_receiver(std::pow(10.0, 0.1 * db), steps, chance, false)});
        contrast.push_back({db, known_receiver(std::pow(10.0, 0.1 * db), steps, chance, true)});
        start.push_back({db, starts.found(std::pow(10.0, 0.1 * db))});
        start_pace.push_back({db, starts_paces.found(std::pow(10.0, 0.1 * db))});
        std::printf("%16.1f   %17.1f   %5.2f   %15.2f   %9.2f   %11.2f   %26.2f   %14.2f\n", ratio_db, db,
                    ours.back().second, pace.back().second, known.back().second, contrast.back().second,
                    start.back().second, start_pace.back().second);
        std::fflush(stdout);
        if (found[0] == recordings && found[1] == recordings) break;
    }
    for (const double share : {0.5, 0.9})
        std::printf(
            "found in %.0f %%: %.2f dB, with a pace within 2 %% %.2f dB; who knows all %.2f dB, by contrast %.2f dB; "
            "who knows the line and searches the start %.2f dB, start and pace %.2f dB\n",
            100.0 * share, crossing(ours, share), crossing(pace, share), crossing(known, share),
            crossing(contrast, share), crossing(start, share), crossing(start_pace, share));
}

void speed() {
    for (const std::size_t parts : {1u, 4u}) {
        Random random(1);
        const toggle::Plan plan = plan_with(parts, 120, 0.5, 3);
        Performance performance;
        performance.sample_rate_hz = 48000.0;
        performance.lines = {{0, 3200.0, -12.0}, {-1, 7000.0, 5.0}};
        const auto recording =
            recording_of(perform(performance, plan.step_seconds, plan.steps(), switching_of(plan), random), 48000.0);
        // Processor time beside the time that passed: other programs may run.
        auto start = std::chrono::steady_clock::now();
        std::clock_t worked = std::clock();
        const auto work = [&] {
            const double seconds = static_cast<double>(std::clock() - worked) / CLOCKS_PER_SEC;
            worked = std::clock();
            return seconds;
        };
        tones::Take take;
        take.found = tones::find_tones(recording);
        const double finding = seconds_since(start), finding_work = work();
        const auto unit = tones::unite({take}, nullptr);
        work();
        start = std::chrono::steady_clock::now();
        const auto trial = toggle::try_plan(plan, nullptr, recording, unit, take.found);
        const double trying = seconds_since(start), trying_work = work();
        std::printf(
            "%zu parts: tones %.2f s (work %.2f s), trial %.2f s (work %.2f s): together %.2f times, by work %.2f\n",
            parts, finding, finding_work, trying, trying_work, 1.0 + trying / finding,
            1.0 + trying_work / finding_work);
        if (!trial)
            std::printf("%s\n", to_sentence(trial.error()).c_str());
        else
            for (const auto& part : trial->parts) {
                std::printf("  %s p %.5f draws %ld drives %d\n", part.part.c_str(), part.p, part.draws,
                            part.drives ? *part.drives : -1);
                for (const auto& e : part.effects)
                    std::printf("    %.2f Hz %+.2f ± %.2f dB p %.5f\n", trial->lines[e.line].hz, e.change_db,
                                e.change_db_sd, e.p);
            }
        if (trial && trial->alignment)
            std::printf("  start %.3f pace %.5f\n", trial->alignment->start_seconds, trial->alignment->pace);
    }
}

}  // namespace

int main(int count, char** arguments) {
    const std::string what = count > 1 ? arguments[1] : "";
    const int recordings = count > 2 ? std::atoi(arguments[2]) : 0;
    if (what == "speed") speed();
    if (what == "uniform") uniform(recordings > 0 ? recordings : 2000);
    if (what == "power") power(recordings > 0 ? recordings : 200);
    return 0;
}
