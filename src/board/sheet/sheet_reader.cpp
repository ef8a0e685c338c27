#include "board/sheet/sheet_reader.h"

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "base/files/paths.h"
#include "board/sheet/sheet_model.h"
#include "board/sheet/sheet_syntax.h"

namespace tattletone::board {
namespace {

SheetReading failed(const std::string& name, std::string what, std::string todo) {
    return {std::nullopt, {{name, 0, 0, std::move(what), std::move(todo)}}};
}

bool is_blank(std::string_view text) {
    return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

constexpr std::uintmax_t most_bytes = 1 << 20;
constexpr std::size_t most_errors_told = 50;
constexpr const char* smaller = "Give a board sheet in TOML; its size is a few kB";

}  // namespace

Error to_error(const SheetError& error) {
    std::string where = error.file;
    if (error.line > 0) where += ":" + std::to_string(error.line) + ":" + std::to_string(error.column);
    return {where, error.what, error.todo};
}

SheetReading parse_sheet(std::string_view text, const std::string& name) {
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return failed(name, "the sheet is UTF-16", "Save it as UTF-8");
    if (text.size() > most_bytes) return failed(name, "this is larger than 1 MB", smaller);
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    if (is_blank(text))
        return failed(name, "the board sheet is empty",
                      "Declare at least [board] with a name, and a [[part]] with a [[part.rate]]");
    Diagnostics diagnostics{name, true, {}};
    const Syntax syntax = read_syntax(text, name, diagnostics.errors);
    diagnostics.complete = syntax.complete;
    SheetReading reading;
    if (syntax.usable) {
        reading.sheet = model_of(syntax.table, diagnostics);
        reading.sheet->path = name;
    }
    reading.errors = std::move(diagnostics.errors);
    std::stable_sort(reading.errors.begin(), reading.errors.end(), [](const SheetError& a, const SheetError& b) {
        return a.line != b.line ? a.line < b.line : a.column < b.column;
    });
    if (!reading.errors.empty()) reading.sheet.reset();
    if (reading.errors.size() > most_errors_told) {
        const std::size_t more = reading.errors.size() - most_errors_told + diagnostics.not_kept;
        reading.errors.resize(most_errors_told);
        reading.errors.push_back({name, 0, 0,
                                  "and " + std::to_string(more) + (more == 1 ? " more error" : " more errors"),
                                  "Mend the first ones and run the same command again"});
    }
    return reading;
}

SheetReading read_sheet(const std::string& path) {
    namespace fs = std::filesystem;
    const fs::path file = base::path_of(path);
    std::error_code problem;
    const fs::file_status status = fs::status(file, problem);
    if (status.type() == fs::file_type::not_found)
        return failed(path, "there is no such file", "Check the path of the board sheet");
    if (fs::is_directory(status)) return failed(path, "this is a folder", "Give the board sheet in it, a .toml file");
    std::ifstream stream(file, std::ios::binary);
    if (!stream) return failed(path, "it cannot be opened", "Check that you may read the file");
    std::string text;
    char piece[16384];
    while (stream.read(piece, sizeof piece) || stream.gcount() > 0) {
        text.append(piece, static_cast<std::size_t>(stream.gcount()));
        if (text.size() > most_bytes) break;
    }
    if (stream.bad()) return failed(path, "it cannot be read to its end", "Copy the file anew");
    return parse_sheet(text, path);
}

}  // namespace tattletone::board
