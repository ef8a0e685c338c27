#include "scenes/score.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <thread>

#include "match/diagnose.h"
#include "match/words.h"
#include "scenes/detection_theory.h"
#include "support/names.h"
#include "tones/find_tones.h"
#include "tones/join/unit_tones.h"

namespace tattletone::scenes {

namespace {

void count_steady_lines(const Scene& scene, const Findings& findings, Judged& judged) {
    if (!scene.codec.empty()) return;
    for (const TrueLine& line : scene.lines) {
        const auto& recording = scene.takes[static_cast<std::size_t>(line.take)].recording;
        if (!line.steady || line.seconds < 0.99 * recording.seconds()) continue;
        const Tones& found = findings.unit.takes[static_cast<std::size_t>(line.take)].found;
        judged.steady_expected += periodogram_detection(line.carrier_to_density_db_hz, line.seconds,
                                                        recording.sample_rate_hz, found.false_alarm_rate);
        const double near_hz = std::max(1.0 / line.seconds, 1e-5 * line.hz);
        judged.steady_found += std::any_of(found.tones.begin(), found.tones.end(),
                                           [&](const Tone& tone) { return std::abs(tone.hz - line.hz) < near_hz; });
    }
}

double chance_of_a_line(const Scene& scene, double false_alarm_rate) {
    double none = 1.0;
    for (const TrueLine& line : scene.lines)
        if (scene.is_singing(line.rate))
            none *=
                1.0 - periodogram_detection(line.carrier_to_density_db_hz, line.seconds,
                                            scene.takes[static_cast<std::size_t>(line.take)].recording.sample_rate_hz,
                                            false_alarm_rate);
    return 1.0 - none;
}

std::string describe_top(const Findings& findings) {
    if (findings.suspects.empty()) return "nobody is suspected";
    char text[32];
    std::snprintf(text, sizeof text, " at %.2f", findings.suspects[0].probability);
    return findings.suspects[0].rate + text;
}

/// For those who mend the finder or the match: which of the true lines was found and what it was taken for.
std::string compare_with_truth(const Scene& scene, const Findings& findings) {
    constexpr const char* origins[] = {"board", "room", "mains", "unsure"};
    std::string text;
    char line[240];
    for (const TrueLine& truth : scene.lines) {
        std::snprintf(line, sizeof line, "    take %d x%-4g %11.3f Hz %+6.1f dB %5.1f dB-Hz:", truth.take + 1,
                      truth.multiple, truth.hz, truth.tone_to_noise_db, truth.carrier_to_density_db_hz);
        text += line;
        const double near_hz = truth.steady ? 1.0 : std::max(2.0, 0.01 * truth.hz);
        for (const UnitTone& unit : findings.unit.tones) {
            const Tone& tone = unit.tone;
            if (std::abs(tone.hz - truth.hz) > near_hz) continue;
            std::snprintf(line, sizeof line, " %.3f±%.3f %s%s %s", tone.hz, tone.hz_sd,
                          tone.steady ? "steady " : "moving ", origins[static_cast<int>(tone.origin)],
                          tone.rejection.c_str());
            text += line;
            const auto explained = findings.explained_by.find(unit.id);
            if (explained == findings.explained_by.end() || explained->second.empty()) continue;
            const Explanation& best = explained->second[0];
            std::snprintf(line, sizeof line, " <- %s order %d %.2f", best.rate.c_str(), best.order, best.probability);
            text += line;
        }
        text += '\n';
    }
    for (const Suspect& suspect : findings.suspects) {
        std::snprintf(line, sizeof line, "    suspect %s %.3f", suspect.rate.c_str(), suspect.probability);
        text += line;
        for (const std::string& reason : suspect.reasons) text += "; " + reason;
        text += '\n';
    }
    return text;
}

std::string level_name(double strongest_db) {
    const int low = std::clamp(static_cast<int>(std::floor(strongest_db / 8.0)) * 8, -24, 16);
    char text[32];
    std::snprintf(text, sizeof text, "%+03d..%+03d dB", low, low + 8);
    return text;
}

}  // namespace

Findings examine(const Scene& scene) {
    FindOptions options;
    options.threads = 1;
    std::vector<Take> takes;
    for (const SceneTake& take : scene.takes)
        takes.push_back({take.recording.origin, take.state, {}, find_tones(take.recording, options)});
    std::vector<Take> far;
    if (scene.far)
        far.push_back({scene.far->recording.origin, scene.far->state, {}, find_tones(scene.far->recording, options)});
    std::optional<Tones> room;
    if (scene.room) room = find_tones(*scene.room, options);
    return diagnose(&scene.sheet, unite(std::move(takes), room ? &*room : nullptr, std::move(far)));
}

std::string tones_text(const Findings& findings) {
    constexpr const char* origins[] = {"board", "room", "mains", "unsure"};
    std::string text;
    char line[240];
    for (const UnitTone& unit : findings.unit.tones) {
        const Tone& tone = unit.tone;
        std::snprintf(line, sizeof line, "    %11.3f±%.3f Hz %6.1f dB in %d of %zu, %s %s%s %s", tone.hz, tone.hz_sd,
                      tone.tone_to_noise_db,
                      static_cast<int>(std::count_if(unit.heard_in.begin(), unit.heard_in.end(),
                                                     [](const HeardIn& in) { return in.heard; })),
                      findings.unit.takes.size(), tone.steady ? "steady" : "moving",
                      origins[static_cast<int>(tone.origin)], tone.faint ? " faint" : "", tone.rejection.c_str());
        text += line;
        const auto explained = findings.explained_by.find(unit.id);
        if (explained != findings.explained_by.end() && !explained->second.empty()) {
            const Explanation& best = explained->second[0];
            std::snprintf(line, sizeof line, " <- %s %s order %d, %+.0f ppm, %.2f", best.rate.c_str(),
                          match::kind_word(best.kind).c_str(), best.order, 1e6 * best.offset_hz / best.expected_hz,
                          best.probability);
            text += line;
        }
        text += '\n';
    }
    return text;
}

Judged judge(const Scene& scene) {
    const Findings findings = examine(scene);
    Judged judged;
    judged.seed = scene.seed;
    judged.kind = scene.kind;
    judged.strongest_db = scene.strongest_db;
    judged.has_culprit = !scene.singing.empty();
    if (judged.has_culprit) judged.timing = scene.timing[static_cast<std::size_t>(scene.singing[0])];

    for (std::size_t i = 0; i < scene.sheet.rates.size(); ++i) {
        const bool sings = scene.is_singing(static_cast<int>(i));
        const auto suspect = std::find_if(findings.suspects.begin(), findings.suspects.end(),
                                          [&](const Suspect& s) { return s.rate == scene.sheet.rates[i].full_name; });
        const double probability = suspect == findings.suspects.end() ? 0.0 : suspect->probability;
        judged.forecasts.push_back({probability, sings});
        const bool is_top = suspect == findings.suspects.begin() && suspect != findings.suspects.end();
        if (is_top && sings) judged.listed_first = true;
        if (is_top && probability >= 0.5 && sings) judged.named = true;
        if (!judged.has_culprit && probability >= 0.5) judged.accused_falsely = true;
    }
    if (judged.has_culprit ? !judged.named : judged.accused_falsely)
        judged.complaint = scene.story + "; answer: " + describe_top(findings);
    if (!judged.complaint.empty()) judged.details = compare_with_truth(scene, findings);
    count_steady_lines(scene, findings, judged);
    judged.audible = chance_of_a_line(scene, findings.unit.takes[0].found.false_alarm_rate);
    return judged;
}

std::vector<Judged> judge_scenes(std::uint64_t first_seed, int count, const Assumptions& assumptions) {
    std::vector<Judged> judged(static_cast<std::size_t>(count));
    std::atomic<int> next{0};
    const auto work = [&] {
        for (int i = next++; i < count; i = next++)
            judged[static_cast<std::size_t>(i)] =
                judge(make_scene(first_seed + static_cast<std::uint64_t>(i), assumptions));
    };
    std::jthread other(work);
    work();
    other.join();
    return judged;
}

Score summarise(const std::vector<Judged>& judged) {
    Score score;
    double squares = 0.0, found = 0.0, expected = 0.0;
    std::array<double, 10> sums{};
    std::array<int, 10> trues{};
    for (const Judged& one : judged) {
        if (one.has_culprit) {
            score.named.add(one.named);
            score.listed_first.add(one.listed_first);
            score.audible += one.audible;
            const auto culprits =
                std::count_if(one.forecasts.begin(), one.forecasts.end(), [](const auto& f) { return f.second; });
            if (culprits == 2)
                score.both_named.add(std::all_of(one.forecasts.begin(), one.forecasts.end(),
                                                 [](const auto& f) { return !f.second || f.first >= 0.5; }));
            score.named_by_timing[name_of(one.timing)].add(one.named);
            score.named_by_level[level_name(one.strongest_db)].add(one.named);
        } else {
            score.false_accusations.add(one.accused_falsely);
            score.false_by_kind[name_of(one.kind)].add(one.accused_falsely);
        }
        for (const auto& [probability, sings] : one.forecasts) {
            squares += (probability - sings) * (probability - sings);
            ++score.forecasts;
            const auto bin = static_cast<std::size_t>(std::clamp(static_cast<int>(probability * 10.0), 0, 9));
            ++score.bins[bin].count;
            sums[bin] += probability;
            trues[bin] += sings;
        }
        found += one.steady_found;
        expected += one.steady_expected;
    }
    const double all = std::max(1, score.forecasts);
    score.brier = squares / all;
    for (std::size_t i = 0; i < 10; ++i) {
        Bin& bin = score.bins[i];
        if (bin.count == 0) continue;
        bin.mean_forecast = sums[i] / bin.count;
        bin.share_true = static_cast<double>(trues[i]) / bin.count;
        score.calibration_error += bin.count / all * std::abs(bin.mean_forecast - bin.share_true);
    }
    score.audible /= std::max(1, score.named.of);
    score.steady_found_over_expected = expected > 0.0 ? found / expected : 0.0;
    return score;
}

std::string to_text(const Score& score) {
    std::string text;
    char line[160];
    const auto share = [&](const char* what, const Share& s) {
        std::snprintf(line, sizeof line, "  %-28s %.3f  (%d of %d)\n", what, s.value(), s.yes, s.of);
        text += line;
    };
    share("culprit listed first", score.listed_first);
    share("culprit named first", score.named);
    std::snprintf(line, sizeof line, "  %-28s %.3f\n", "    of these audible at most", score.audible);
    text += line;
    if (score.both_named.of > 0) share("both of two culprits named", score.both_named);
    for (const auto& [name, s] : score.named_by_timing) share(("    " + name).c_str(), s);
    for (const auto& [name, s] : score.named_by_level) share(("    " + name).c_str(), s);
    share("false accusations", score.false_accusations);
    for (const auto& [name, s] : score.false_by_kind) share(("    " + name).c_str(), s);
    std::snprintf(line, sizeof line, "  %-28s %.4f  (%d rates)\n", "Brier score", score.brier, score.forecasts);
    text += line;
    std::snprintf(line, sizeof line, "  %-28s %.4f\n", "calibration error", score.calibration_error);
    text += line;
    for (const Bin& bin : score.bins) {
        if (bin.count == 0) continue;
        std::snprintf(line, sizeof line, "      said %.3f, came true %.3f  (%d)\n", bin.mean_forecast, bin.share_true,
                      bin.count);
        text += line;
    }
    std::snprintf(line, sizeof line, "  %-28s %.3f\n", "steady lines found/expected", score.steady_found_over_expected);
    return text + line;
}

std::string to_json(const Score& score) {
    char text[460];
    std::snprintf(text, sizeof text,
                  "{\"named_first\": %.4f, \"with_culprit\": %d, \"false_accusations\": %.4f, \"without_culprit\": %d, "
                  "\"brier\": %.5f, \"rates\": %d, \"calibration_error\": %.5f, \"audible_at_most\": %.4f, "
                  "\"steady_found_over_expected\": %.4f}\n",
                  score.named.value(), score.named.of, score.false_accusations.value(), score.false_accusations.of,
                  score.brier, score.forecasts, score.calibration_error, score.audible,
                  score.steady_found_over_expected);
    return text;
}

}  // namespace tattletone::scenes
