#include "board/sheet/sheet_syntax.h"

#include <algorithm>
#include <cctype>
#include <optional>
#include <vector>

#include "base/text/printable.h"
#include "board/sheet/sheet_screen.h"

namespace tattletone::board {
namespace {

std::string trimmed(std::string_view text) {
    const auto blank = [](unsigned char c) { return std::isspace(c) != 0; };
    while (!text.empty() && blank(static_cast<unsigned char>(text.front()))) text.remove_prefix(1);
    while (!text.empty() && blank(static_cast<unsigned char>(text.back()))) text.remove_suffix(1);
    return std::string(text);
}

// A line of the sheet as it may stand in a message.
std::string quotable(std::string_view line) {
    return base::briefly(trimmed(line));
}

struct LineSpan {
    std::size_t begin = 0, end = 0;
};

LineSpan line_at(std::string_view text, int line) {
    std::size_t begin = 0;
    for (int i = 1; i < line; ++i) {
        const std::size_t next = text.find('\n', begin);
        if (next == std::string_view::npos) return {text.size(), text.size()};
        begin = next + 1;
    }
    return {begin, std::min(text.find('\n', begin), text.size())};
}

bool plain_assignment(std::string_view line) {
    return line.find('=') != std::string_view::npos && trimmed(line)[0] != '=' &&
           line.find_first_of("[]{}") == std::string_view::npos && line.find("\"\"\"") == std::string_view::npos &&
           line.find("'''") == std::string_view::npos;
}

std::string advice_for(std::string_view line) {
    const std::string text = trimmed(line);
    if (text.empty()) return "Look at the lines above: something is not closed there";
    if (text[0] == '[') return "A table starts with [board], [[rail]], [[part]] or [[part.rate]]";
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos) return "A line reads key = value, and a comment starts with #";
    const std::string value = trimmed(std::string_view(text).substr(equals + 1));
    if (value.empty()) return "A value is missing behind the '='";
    if (std::isalpha(static_cast<unsigned char>(value[0])))
        return "Text stands in double quotes: " + quotable(text.substr(0, equals)) + " = \"…\"";
    if (std::count(value.begin(), value.end(), '"') % 2 == 1) return "A double quote is missing";
    if (std::isdigit(static_cast<unsigned char>(value[0])) && value.find(',') != std::string::npos)
        return "Decimals stand behind a point, as in 9600.5";
    if (std::isdigit(static_cast<unsigned char>(value[0])))
        return "A number stands alone, as in 9600 or 9600.5 or 96e2; its unit is in the key's name";
    return "A line reads key = value; text stands in double quotes, numbers do not";
}

SheetError rewritten(const toml::parse_error& error, std::string_view line, const std::string& name) {
    SheetError told;
    told.file = name;
    told.line = static_cast<int>(error.source().begin.line);
    told.column = static_cast<int>(error.source().begin.column);
    const std::string_view cause = error.description();
    if (cause.find("redefin") != std::string_view::npos || cause.find("duplicate") != std::string_view::npos) {
        told.what = "'" + quotable(line) + "' says a second time what was already said";
        told.todo = "Keep one of the two; a further rail, part or rate starts with its own [[…]]";
    } else if (cause.find("UTF-8") != std::string_view::npos || cause.find("utf-8") != std::string_view::npos) {
        told.what = "there are bytes that are no UTF-8";
        told.todo = "Save the sheet as UTF-8";
    } else if (trimmed(line).empty()) {
        told.what = "the sheet breaks off in the middle of something";
        told.todo = advice_for(line);
    } else {
        told.what = "'" + quotable(line) + "' is no line of TOML";
        told.todo = advice_for(line);
    }
    return told;
}

// The first line with which the beginning of the text is more than the library bears.
int line_beyond_library(std::string_view text) {
    std::vector<std::size_t> ends;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] == '\n') ends.push_back(i + 1);
    ends.push_back(text.size());
    const auto bears = [&](std::size_t end) {
        try {
            (void)toml::parse(text.substr(0, end));
        } catch (const toml::parse_error&) {
        } catch (const BeyondTomlLibrary&) {
            return false;
        }
        return true;
    };
    return static_cast<int>(std::partition_point(ends.begin(), ends.end(), bears) - ends.begin()) + 1;
}

}  // namespace

Syntax read_syntax(std::string_view text, const std::string& name, std::vector<SheetError>& errors) {
    constexpr std::size_t most_errors = 20;
    std::string rest(text);
    Syntax syntax;
    bool plain = true;
    for (std::size_t count = 0; count < most_errors; ++count) {
        // Again for each round: what is taken out may begin or end a text.
        if (!screen_syntax(rest, name, errors)) break;
        std::optional<toml::parse_error> error;
        try {
            syntax.table = toml::parse(std::string_view(rest));
            return syntax;
        } catch (const toml::parse_error& caught) {
            error = caught;
        } catch (const BeyondTomlLibrary&) {
            errors.push_back(
                {name, line_beyond_library(rest), 1, "this is no TOML", "Compare it with the example in the README"});
            plain = false;
            break;
        }
        const int line_number = static_cast<int>(error->source().begin.line);
        const LineSpan span = line_at(rest, line_number);
        const std::string_view line = std::string_view(rest).substr(span.begin, span.end - span.begin);
        errors.push_back(rewritten(*error, line, name));
        syntax.complete = false;
        plain = plain_assignment(line);
        if (!plain) break;
        std::fill(rest.begin() + static_cast<std::ptrdiff_t>(span.begin),
                  rest.begin() + static_cast<std::ptrdiff_t>(span.end), ' ');
    }
    syntax.complete = syntax.usable = false;
    if (errors.size() >= most_errors && plain)
        errors.push_back({name, errors.back().line, errors.back().column,
                          "reading stops here, after " + std::to_string(most_errors) + " lines that are no TOML",
                          "Mend those above; then the rest is read"});
    return syntax;
}

}  // namespace tattletone::board
