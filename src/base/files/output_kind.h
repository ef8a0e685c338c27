#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace tattletone::base {

/// What the program writes as a whole file. Each kind that may take the place of an earlier one of its
/// kind carries a mark inside, in the way of its format: a page in `<meta name="generator">` (HTML), a
/// drawing in a comment before its root (SVG), a C header in its first comment, a picture in the tEXt chunk "Software"
/// (PNG, 11.3.4.2), JSON in its "format" key. Recordings carry none: one is somebody's evidence and cannot be made
/// again.
enum class OutputKind {
    findings_page,
    trace_page,
    unit_page,
    batch_page,
    complaint_page,
    comparison_page,
    trace_picture,
    window_picture,
    findings_file,
    toggle_plan,    ///< carries none either: a recording may have been made with it
    toggle_header,  ///< in the comment with which it begins
    recording,
    logbook_copy,
    own_file,  ///< in a place of the program's own, as the window's settings; needs no mark there
};

/// "findings page", for a sentence.
std::string_view words_of(OutputKind kind);

/// "tattletone 0.1.0, findings page": the text of the mark.
std::string mark_of(OutputKind kind);

/// The mark as each format holds it.
std::string html_mark(OutputKind kind);                       ///< an element of <head>
std::string svg_mark(OutputKind kind);                        ///< a line before <svg
std::string c_mark(OutputKind kind);                          ///< the first line of a C header
std::string png_with_mark(std::string png, OutputKind kind);  ///< the chunk behind IHDR

/// The kind whose mark stands in the beginning of a file (some kilobytes), whatever version wrote it.
std::optional<OutputKind> marked_kind(std::string_view beginning);

}  // namespace tattletone::base
