#pragma once

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

namespace tattletone::scenes {

/// A sheet of tests/support/sheets, which the Python tests read too. Their lines are counted by tests: a sheet is
/// changed with those that expect errors at its places.
inline std::string sheet_text(const std::string& name) {
    const std::string path = TATTLETONE_SOURCE_DIR "/tests/support/sheets/" + name + ".toml";
    std::ifstream file(path, std::ios::binary);
    if (!file) throw std::runtime_error(path + ": no such sheet");
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

}  // namespace tattletone::scenes
