#pragma once

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace tattletone {

/// A recording of ../shared/real/environment (its README says of what).
struct EnvironmentClip {
    std::filesystem::path path;
    std::string file;       ///< below that folder
    std::string group;      ///< "line-rate": a television is in it
    std::string line_rate;  ///< Hz; "-" where there is none
};

/// In the order of clips.tsv; none where that is not there.
inline std::vector<EnvironmentClip> environment_clips(const std::filesystem::path& folder) {
    std::ifstream table(folder / "clips.tsv");
    std::vector<EnvironmentClip> clips;
    std::string row;
    std::getline(table, row);
    while (std::getline(table, row)) {
        std::istringstream cells(row);
        EnvironmentClip clip;
        std::getline(cells, clip.file, '\t');
        std::getline(cells, clip.group, '\t');
        std::getline(cells, clip.line_rate, '\t');
        clip.path = folder / clip.file;
        clips.push_back(std::move(clip));
    }
    return clips;
}

}  // namespace tattletone
