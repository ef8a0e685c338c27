#include "report/text/wrap.h"

#include <algorithm>
#include <iterator>
#include <vector>

#include "report/text/columns.h"

namespace tattletone::report {
namespace {

std::size_t bytes_of_columns(std::string_view text, int columns) {
    std::size_t end = 0;
    while (end < text.size()) {
        std::size_t next = end + 1;
        while (next < text.size() && (static_cast<unsigned char>(text[next]) & 0xC0) == 0x80) ++next;
        if (display_columns(text.substr(0, next)) > columns && end > 0) break;
        end = next;
    }
    return end;
}

// "9600.0 ± 0.5 Hz" stays on one line: a unit belongs to the number before it, ± to both sides.
bool belongs_together(std::string_view before, std::string_view word) {
    static constexpr std::string_view units[] = {"Hz", "kHz", "MHz", "ppm", "dB", "dBFS", "s", "%", "±"};
    const std::string_view core = word.substr(0, word.find_last_not_of(",;:.)") + 1);
    const bool number = !before.empty() && before.back() >= '0' && before.back() <= '9';
    return (number && std::find(std::begin(units), std::end(units), core) != std::end(units)) || before.ends_with("±");
}

std::vector<std::string_view> words_of(std::string_view text, int longest) {
    std::vector<std::string_view> words;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t space = std::min(text.find(' ', at), text.size());
        std::string_view word = text.substr(at, space - at);
        while (display_columns(word) > longest) {
            const std::size_t cut = bytes_of_columns(word, longest);
            words.push_back(word.substr(0, cut));
            word.remove_prefix(cut);
        }
        if (!words.empty() && words.back().data() + words.back().size() + 1 == word.data() &&
            belongs_together(words.back(), word) &&
            display_columns(words.back()) + 1 + display_columns(word) <= longest)
            words.back() = {words.back().data(), words.back().size() + 1 + word.size()};
        else if (!word.empty())
            words.push_back(word);
        at = space + 1;
    }
    return words;
}

}  // namespace

std::string wrapped(std::string_view given, int columns, std::string_view first, std::string_view next) {
    const std::string text = base::printable(given);
    const int room = std::max(8, columns - std::max(display_columns(first), display_columns(next)));
    std::string result, line(first);
    bool empty = true;
    for (const std::string_view word : words_of(text, room)) {
        if (!empty && display_columns(line) + 1 + display_columns(word) > columns) {
            result += line + '\n';
            line = next;
            empty = true;
        }
        if (!empty) line += ' ';
        line += word;
        empty = false;
    }
    return result + line + '\n';
}

std::string wrapped_lines(std::string_view text, int columns, std::string_view indent) {
    std::string result;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        std::string_view line = text.substr(at, end - at);
        if (line.ends_with('\r')) line.remove_suffix(1);
        result += line.empty() ? "\n" : wrapped(line, columns, indent, indent);
        at = end + 1;
    }
    return result;
}

std::string left_in(std::string_view given, int columns) {
    const std::string text = base::printable(given);
    return text + std::string(static_cast<std::size_t>(std::max(0, columns - display_columns(text))), ' ');
}

std::string right_in(std::string_view given, int columns) {
    const std::string text = base::printable(given);
    return std::string(static_cast<std::size_t>(std::max(0, columns - display_columns(text))), ' ') + text;
}

std::string heading(std::string_view text, int columns, bool bold) {
    std::string lines = wrapped(text, columns);
    lines.pop_back();
    return '\n' + (bold ? in_bold(lines) : lines) + '\n';
}

std::string in_bold(std::string_view text) {
    return std::string(base::begin_bold) + std::string(text) + std::string(base::end_bold);
}

}  // namespace tattletone::report
