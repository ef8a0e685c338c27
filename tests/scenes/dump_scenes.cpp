// dump_scenes FOLDER [--scenes N] [--seed S]: writes scenes as wav, board sheet and truth, so that any
// other program can be scored on the same ones (tests/reference/plain_script.py is one).

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "support/names.h"
#include "support/scene.h"
#include "support/wave_file.h"

namespace {

using namespace tattletone::scenes;

bool dump(const Scene& scene, const std::filesystem::path& folder) {
    const std::string stem = "scene-" + std::to_string(scene.seed);
    bool good = true;
    std::string wavs;
    for (std::size_t take = 0; take < scene.takes.size(); ++take) {
        const std::string name = stem + "-" + std::to_string(take + 1) + ".wav";
        const auto& recording = scene.takes[take].recording;
        good = good && write_wave((folder / name).string(), recording.samples, recording.sample_rate_hz);
        wavs += (take ? ", \"" : "\"") + name + "\"";
    }
    std::ofstream(folder / (stem + ".toml")) << to_toml(scene.sheet);
    std::ofstream truth(folder / (stem + ".json"));
    truth << "{\"seed\": " << scene.seed << ", \"kind\": \"" << name_of(scene.kind) << "\", \"takes\": [" << wavs
          << "], \"undeclared\": " << (scene.undeclared ? "true" : "false") << ", \"singing\": [";
    for (std::size_t i = 0; i < scene.singing.size(); ++i)
        truth << (i ? ", \"" : "\"") << scene.sheet.rates[static_cast<std::size_t>(scene.singing[i])].full_name << "\"";
    truth << "], \"lines_hz\": [";
    truth.precision(12);
    for (std::size_t i = 0; i < scene.lines.size(); ++i) truth << (i ? ", " : "") << scene.lines[i].hz;
    truth << "], \"strongest_db\": " << scene.strongest_db << "}\n";
    return good && truth.good();
}

}  // namespace

int main(int argc, char** argv) {
    std::string folder;
    std::uint64_t scenes = 20, seed = 1;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--scenes" && i + 1 < argc)
            scenes = std::strtoull(argv[++i], nullptr, 10);
        else if (word == "--seed" && i + 1 < argc)
            seed = std::strtoull(argv[++i], nullptr, 10);
        else
            folder = word;
    }
    if (folder.empty() || folder[0] == '-') {
        std::fprintf(stderr, "usage: dump_scenes FOLDER [--scenes N] [--seed S]\n");
        return 2;
    }
    std::filesystem::create_directories(folder);
    for (std::uint64_t i = 0; i < scenes; ++i) {
        if (!dump(make_scene(seed + i), folder)) {
            std::fprintf(stderr, "dump_scenes: %s: cannot be written. Is there space, and may you write there?\n",
                         folder.c_str());
            return 1;
        }
    }
    return 0;
}
