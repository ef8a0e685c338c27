// dump_analysis FILE FRAME: what our spectrum and tone finder say about a clip, as JSON, for comparison with
// other people's code.

#include <cstdio>
#include <cstdlib>

#include "sound/clip/clip_reader.h"
#include "spectrum/periodogram.h"
#include "support/names.h"
#include "tones/find_tones.h"

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fprintf(stderr, "usage: dump_analysis FILE FRAME\n");
        return 2;
    }
    const auto recording = tattletone::read_clip(argv[1]);
    if (!recording) {
        std::fprintf(stderr, "dump_analysis: %s\n", to_sentence(recording.error()).c_str());
        return 1;
    }
    const auto frame = static_cast<std::size_t>(std::strtoul(argv[2], nullptr, 10));
    std::printf("{\"welch\": [");
    const char* comma = "";
    for (const double value : tattletone::welch_density(recording->samples, recording->sample_rate_hz, frame)) {
        std::printf("%s%.9g", comma, value);
        comma = ", ";
    }
    const tattletone::Tones tones = tattletone::find_tones(*recording);
    std::printf("], \"tones\": [");
    comma = "";
    for (const auto& tone : tones.tones) {
        std::printf("%s{\"hz\": %.9f, \"hz_sd\": %.9g, \"level_dbfs\": %.6f}", comma, tone.hz, tone.hz_sd,
                    tone.level_dbfs);
        comma = ", ";
    }
    std::printf("], \"floor\": [");
    comma = "";
    for (const auto& point : tones.floor) {
        std::printf("%s[%.6f, %.6f]", comma, point.hz, point.noise_dbfs_per_hz);
        comma = ", ";
    }
    std::printf("]}\n");
    return 0;
}
