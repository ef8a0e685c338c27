#include "base/files/output_kind.h"

#include <algorithm>
#include <array>
#include <cstdint>

namespace tattletone::base {
namespace {

struct Words {
    OutputKind kind;
    std::string_view words;
};
constexpr Words all_words[] = {
    {OutputKind::findings_page, "findings page"},   {OutputKind::trace_page, "trace page"},
    {OutputKind::unit_page, "unit page"},           {OutputKind::batch_page, "batch page"},
    {OutputKind::complaint_page, "complaint page"}, {OutputKind::comparison_page, "comparison page"},
    {OutputKind::trace_picture, "trace picture"},   {OutputKind::window_picture, "window picture"},
    {OutputKind::findings_file, "findings file"},   {OutputKind::recording, "recording"},
    {OutputKind::toggle_plan, "toggle plan"},       {OutputKind::toggle_header, "toggle header"},
    {OutputKind::logbook_copy, "logbook copy"},     {OutputKind::own_file, "settings file"},
};

constexpr std::string_view html_before = "<meta name=\"generator\" content=\"";
constexpr std::string_view svg_before = "<!-- ";
constexpr std::string_view c_before = "/* ";
constexpr std::string_view json_before = "{\"format\": \"tattletone findings ";
constexpr std::string_view png_signature = "\x89PNG\r\n\x1a\n";
constexpr std::string_view software{"Software\0", 9};
constexpr std::size_t chunk_frame = 12;  // length, type and checksum around the data

// CRC-32 as PNG wants it (ISO 3309, reflected polynomial EDB88320).
std::uint32_t checksum(std::string_view bytes) {
    std::uint32_t sum = 0xffffffffu;
    for (const char byte : bytes) {
        sum ^= static_cast<unsigned char>(byte);
        for (int bit = 0; bit < 8; ++bit) sum = sum >> 1 ^ (sum & 1u ? 0xedb88320u : 0u);
    }
    return ~sum;
}

std::string big_endian(std::uint32_t value) {
    std::string bytes;
    for (int shift = 24; shift >= 0; shift -= 8) bytes += static_cast<char>(value >> shift & 255u);
    return bytes;
}

std::uint32_t big_endian(std::string_view bytes) {
    std::uint32_t value = 0;
    for (const char byte : bytes.substr(0, 4)) value = value << 8 | static_cast<unsigned char>(byte);
    return value;
}

// `text` begins with a mark and ends where its format closes it.
std::optional<OutputKind> kind_of_mark(std::string_view text) {
    constexpr std::string_view name = "tattletone ";
    if (!text.starts_with(name)) return std::nullopt;
    text.remove_prefix(name.size());
    text.remove_prefix(std::min(text.find_first_not_of("0123456789."), text.size()));
    if (!text.starts_with(", ")) return std::nullopt;
    text.remove_prefix(2);
    for (const Words& one : all_words)
        if (text == one.words) return one.kind;
    return std::nullopt;
}

std::optional<OutputKind> mark_between(std::string_view text, std::string_view before, std::string_view behind) {
    const std::size_t from = text.find(before);
    if (from == std::string_view::npos) return std::nullopt;
    text.remove_prefix(from + before.size());
    const std::size_t to = text.find(behind);
    if (to == std::string_view::npos) return std::nullopt;
    return kind_of_mark(text.substr(0, to));
}

std::optional<OutputKind> mark_in_png(std::string_view png) {
    for (std::size_t at = png_signature.size(); at + chunk_frame <= png.size();) {
        const std::size_t length = big_endian(png.substr(at));
        const std::string_view type = png.substr(at + 4, 4);
        if (type == "IDAT" || length > png.size() - at - chunk_frame) break;
        const std::string_view data = png.substr(at + 8, length);
        if (type == "tEXt" && data.starts_with(software)) return kind_of_mark(data.substr(software.size()));
        at += chunk_frame + length;
    }
    return std::nullopt;
}

}  // namespace

std::string_view words_of(OutputKind kind) {
    for (const Words& one : all_words)
        if (one.kind == kind) return one.words;
    return {};
}

std::string mark_of(OutputKind kind) {
    return "tattletone " TATTLETONE_VERSION ", " + std::string(words_of(kind));
}

std::string html_mark(OutputKind kind) {
    return std::string(html_before) + mark_of(kind) + "\">\n";
}

std::string svg_mark(OutputKind kind) {
    return std::string(svg_before) + mark_of(kind) + " -->\n";
}

std::string c_mark(OutputKind kind) {
    return std::string(c_before) + mark_of(kind) + " */\n";
}

std::string png_with_mark(std::string png, OutputKind kind) {
    constexpr std::size_t header_end = 8 + chunk_frame + 13;  // behind the signature and IHDR
    if (!std::string_view(png).starts_with(png_signature) || png.size() < header_end) return png;
    const std::string data = std::string(software) + mark_of(kind);
    const std::string checked = "tEXt" + data;
    png.insert(header_end,
               big_endian(static_cast<std::uint32_t>(data.size())) + checked + big_endian(checksum(checked)));
    return png;
}

std::optional<OutputKind> marked_kind(std::string_view beginning) {
    if (beginning.starts_with("<!DOCTYPE html>")) return mark_between(beginning, html_before, "\">");
    if (beginning.starts_with(svg_before)) return mark_between(beginning, svg_before, " -->");
    if (beginning.starts_with(c_before)) return mark_between(beginning, c_before, " */");
    if (beginning.starts_with(json_before)) return OutputKind::findings_file;
    if (beginning.starts_with(png_signature)) return mark_in_png(beginning);
    return std::nullopt;
}

}  // namespace tattletone::base
