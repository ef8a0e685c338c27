// What each number of the gates costs and saves: how many of a board's lines it keeps from
// counting, and how many foreign tones, which would otherwise pass as a board's.

#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "bench/rejection_count.h"
#include "support/usage.h"

namespace {

using namespace tattletone;
using namespace tattletone::bench;

constexpr const char* usage =
    "usage: rejection_cost [NAME...] [--scenes N] [--seed S] [--share X] [--lines]\n"
    "  NAME        only numbers whose names begin so: crowd, mains_sds, speech (what sounds like "
    "speech)\n"
    "  --scenes N  simulated units (200), of the seeds from S (500000) on\n"
    "  --share X   of each kind of real recording, 0 to 1 (1)\n"
    "  --lines     only the line for beside the number\n"
    "Real recordings are those of ../shared/real and of the packages klettres-data, "
    "sonic-pi-samples and\n"
    "alsa-utils; what is not there is left out.\n";

struct Options {
    std::vector<std::string> names;
    int scenes = 200;
    std::uint64_t seed = 500'000;
    double share = 1.0;
    bool lines = false;

    bool wants(const std::string& name) const {
        for (const std::string& one : names)
            if (name.rfind(one, 0) == 0) return true;
        return names.empty();
    }
};

bool read(int argc, char** argv, Options& options) {
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--lines") {
            options.lines = true;
            continue;
        }
        if (word.rfind("--", 0) != 0) {
            options.names.push_back(word);
            continue;
        }
        if (++i >= argc) return false;
        if (word == "--scenes")
            options.scenes = std::atoi(argv[i]);
        else if (word == "--seed")
            options.seed = std::strtoull(argv[i], nullptr, 10);
        else if (word == "--share")
            options.share = std::atof(argv[i]);
        else
            return false;
    }
    return options.scenes >= 0 && options.share >= 0.0 && options.share <= 1.0;
}

void print_share(const char* what, const Share& share) {
    const auto [low, high] = share.interval();
    std::printf("  %s %5.1f %% (%.1f to %.1f) %d of %d", what, share.percent(), low, high, share.count, share.of);
}

std::string short_number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

void print_row(const std::string& what, const Effect& effect) {
    std::printf("  %10s", what.c_str());
    print_share("| costs made", effect.lost_made);
    print_share("| real", effect.lost_real);
    std::printf(" in %d recordings", effect.recordings_lost);
    print_share("| keeps out real", effect.kept_real);
    print_share("| made", effect.kept_made);
    std::printf(" in %d recordings", effect.recordings_kept);
    if (effect.gained > 0) std::printf(" | %d lines gained", effect.gained);
    std::printf("\n");
}

Share both(const Share& a, const Share& b) {
    return {a.count + b.count, a.of + b.of};
}

std::string short_row(const Effect& effect) {
    char text[160];
    std::snprintf(text, sizeof text, "%d+%d, %d+%d", effect.lost_made.count, effect.lost_real.count,
                  effect.kept_real.count, effect.kept_made.count);
    return text;
}

void measure(RejectionBench& bench, const LimitNumber& number, bool lines_only) {
    const double value = number.get(RejectionLimits{});
    const Effect effect = bench.effect(number, value);
    if (!lines_only) {
        std::printf("%s\n", number.name);
        print_row(short_number(value), effect);
    }
    std::string others;
    if (number.judges()) {
        const Effect alone = bench.alone(number);
        if (!lines_only) print_row("alone", alone);
        others += "; alone: " + short_row(alone);
    }
    for (const double other : other_values(number)) {
        const Effect of_other = bench.effect(number, other);
        if (!lines_only) print_row(short_number(other), of_other);
        others += "; " + short_number(other) + ": " + short_row(of_other);
    }
    const Share lost = both(effect.lost_made, effect.lost_real);
    const Share kept = both(effect.kept_real, effect.kept_made);
    std::printf(
        "rejection_cost %s: costs %.2g %% (%d of %d + %d of %d, in %d recordings), "
        "keeps out %.2g %% (%d of %d + %d of %d, in %d)%s\n",
        number.name, lost.percent(), effect.lost_made.count, effect.lost_made.of, effect.lost_real.count,
        effect.lost_real.of, effect.recordings_lost, kept.percent(), effect.kept_real.count, effect.kept_real.of,
        effect.kept_made.count, effect.kept_made.of, effect.recordings_kept, others.c_str());
    std::fflush(stdout);
}

void measure_speech(const SpeechBench& bench, const SpeechNumber& number, bool lines_only) {
    const double value = SpeechLimits{}.*number.member;
    std::string line;
    for (const double tried : {value, number.off, 0.7 * value, 1.4 * value}) {
        SpeechLimits limits;
        limits.*number.member = tried;
        const Share voices = bench.voices_heard(limits), others = bench.others_taken(limits);
        const bool off = tried == number.off;
        if (!lines_only) {
            if (tried == value) std::printf("speech_%s\n", number.name);
            if (off)
                std::printf("         off");
            else
                std::printf("  %10g", tried);
            print_share("| voices heard", voices);
            print_share("| others taken for speech", others);
            std::printf("\n");
        }
        char text[120];
        if (tried == value)
            std::snprintf(text, sizeof text, "hears %d of %d voices, takes %d of %d other sounds", voices.count,
                          voices.of, others.count, others.of);
        else if (off)
            std::snprintf(text, sizeof text, "; off: %d, %d", voices.count, others.count);
        else
            std::snprintf(text, sizeof text, "; %g: %d, %d", tried, voices.count, others.count);
        line += text;
    }
    std::printf("rejection_cost speech_%s: %s\n", number.name, line.c_str());
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = options_or_usage(argc, argv, read, usage);
    std::vector<const LimitNumber*> wanted;
    bool search = false;
    for (const LimitNumber& number : limit_numbers())
        if (options.wants(number.name)) {
            wanted.push_back(&number);
            search = search || number.again == Again::search || number.again == Again::faint_search;
        }
    std::vector<const SpeechNumber*> of_speech;
    for (const SpeechNumber& number : speech_numbers())
        if (options.wants(std::string("speech_") + number.name)) of_speech.push_back(&number);
    if (wanted.empty() && of_speech.empty()) {
        std::fprintf(stderr, "rejection_cost: no number has a name that begins so. Those of RejectionLimits do\n");
        return 2;
    }
    if (!wanted.empty()) {
        Heard heard = hear_scenes(options.seed, options.scenes, search);
        for (HeardRecording& one : hear_real(TATTLETONE_SHARED_DIR, options.share, search))
            heard.recordings.push_back(std::move(one));
        RejectionBench bench(std::move(heard));
        std::printf(
            "%d simulated recordings (seeds from %llu), %d real ones, %zu units with a room's "
            "recording\n"
            "Costs: of a board's lines that pass with the gate off; keeps out: of foreign tones "
            "that pass then.\n"
            "Alone: of those that pass where no gate judges the tones found. In a line: simulated "
            "+ real lines,\n"
            "real + simulated tones. 95 %% intervals; tones of one recording are not independent, "
            "so that the\n"
            "truth may lie farther off.\n",
            bench.recordings(false), static_cast<unsigned long long>(options.seed), bench.recordings(true),
            bench.heard().units.size());
        std::fflush(stdout);
        for (const LimitNumber* number : wanted) measure(bench, *number, options.lines);
    }
    if (!of_speech.empty()) {
        const SpeechBench bench = hear_speech(TATTLETONE_SHARED_DIR, options.share);
        for (const SpeechNumber* number : of_speech) measure_speech(bench, *number, options.lines);
    }
    return 0;
}
