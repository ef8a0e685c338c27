#include "base/files/file_content.h"

#include <fstream>

#include "base/files/paths.h"

namespace tattletone::base {
namespace {

constexpr std::size_t read_bytes = 65536, tail_bytes = 256;
using namespace std::string_view_literals;

bool at(std::string_view bytes, std::size_t place, std::string_view what) {
    return bytes.size() >= place && bytes.substr(place).starts_with(what);
}

// First bytes as the formats' own documents give them: RIFF, RF64 and BW64 (EBU Tech 3306), Sony's Wave64, FLAC
// (RFC 9639), Ogg (RFC 3533), ISO 14496-12, CAF, AIFF, Sun audio, Matroska (RFC 9559), ASF, AMR (RFC 4867).
bool is_recording(std::string_view b) {
    for (const std::string_view name : {"RIFF"sv, "RIFX"sv, "RF64"sv, "BW64"sv})
        if (at(b, 0, name) && at(b, 8, "WAVE")) return true;
    for (const std::string_view name : {"riff\x2e\x91\xcf\x11"sv, "fLaC"sv, "OggS"sv, "ID3"sv, "caff"sv, ".snd"sv,
                                        "\x1a\x45\xdf\xa3"sv, "\x30\x26\xb2\x75\x8e\x66\xcf\x11"sv, "#!AMR"sv})
        if (at(b, 0, name)) return true;
    if (at(b, 4, "ftyp")) return true;
    if (at(b, 0, "FORM") && (at(b, 8, "AIFF") || at(b, 8, "AIFC"))) return true;
    // A frame of MPEG audio or ADTS: eleven bits of sync, then a version and a layer that exist. FF FE begins text in
    // UTF-16 far more often than layer I.
    if (b.size() < 4 || static_cast<unsigned char>(b[0]) != 0xff) return false;
    const auto second = static_cast<unsigned char>(b[1]), third = static_cast<unsigned char>(b[2]);
    if (second == 0xfeu) return false;
    if ((second & 0xf6u) == 0xf0u) return true;
    return (second & 0xe0u) == 0xe0u && (second & 0x18u) != 0x08u && (second & 0x06u) != 0 &&
           (third & 0xf0u) != 0xf0u && (third & 0x0cu) != 0x0cu;
}

bool is_board_sheet(std::string_view text) {
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string line;  // without its blanks
        for (const char letter : text.substr(0, end))
            if (letter != ' ' && letter != '\t' && letter != '\r') line += letter;
        text.remove_prefix(std::min(end + 1, text.size()));
        if (line.starts_with("\xef\xbb\xbf")) line.erase(0, 3);
        for (const char* begin : {"[board]", "[\"board\"]", "board={", "board.name="})
            if (line.starts_with(begin)) return true;
    }
    return false;
}

}  // namespace

std::optional<SeenFile> look_at_file(const std::string& path) {
    std::ifstream file(path_of(path), std::ios::binary);
    if (!file) return std::nullopt;
    std::string bytes(read_bytes, '\0');
    file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    if (file.bad()) return std::nullopt;
    bytes.resize(static_cast<std::size_t>(file.gcount()));
    SeenFile seen;
    if (at(bytes, 0, "SQLite format 3\0"sv))
        seen.content = FileContent::database;
    else if (is_recording(bytes))
        seen.content = FileContent::recording;
    else if (!(seen.mark = marked_kind(bytes)) && is_board_sheet(bytes))
        seen.content = FileContent::board_sheet;
    if (!seen.mark && bytes.starts_with("<!DOCTYPE html>")) {
        file.clear();
        file.seekg(0, std::ios::end);
        const auto length = static_cast<std::streamoff>(file.tellg());
        file.seekg(std::max<std::streamoff>(0, length - static_cast<std::streamoff>(tail_bytes)));
        std::string tail(tail_bytes, '\0');
        file.read(tail.data(), static_cast<std::streamsize>(tail.size()));
        seen.unmarked_page = tail.find("<p class=\"hint\">Made by tattletone ") != std::string::npos;
    }
    return seen;
}

}  // namespace tattletone::base
