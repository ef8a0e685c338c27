#include "window/platform/settings.h"

#include <algorithm>
#include <charconv>
#include <cstdio>
#include <optional>

#include "base/text/number.h"

namespace tattletone::window {
namespace {

constexpr std::string_view looks[] = {"dark", "light"};
constexpr std::string_view tabs[] = {"tones", "history", "follow", "recordings", "compare"};

std::string in_quotes(std::string_view text) {
    std::string result = "\"";
    for (const char letter : text) {
        const auto code = static_cast<unsigned char>(letter);
        if (letter == '"' || letter == '\\') result += '\\';
        if (code >= 0x20 && code != 0x7F) {
            result += letter;
            continue;
        }
        char escape[8];
        std::snprintf(escape, sizeof escape, "\\u%04X", static_cast<unsigned>(code));
        result += escape;
    }
    return result + '"';
}

std::optional<std::string> unquoted(std::string_view text) {
    if (text.size() < 2 || text.front() != '"' || text.back() != '"') return std::nullopt;
    std::string result;
    for (std::size_t i = 1; i + 1 < text.size(); ++i) {
        const bool escaped = text[i] == '\\' && i + 2 < text.size();
        if (escaped) ++i;
        // Only what `quoted` writes: a control character of ASCII.
        if (escaped && text[i] == 'u' && i + 5 < text.size()) {
            unsigned code = 0;
            const char* const digits = text.data() + i + 1;
            const auto read = std::from_chars(digits, digits + 4, code, 16);
            if (read.ptr == digits + 4 && (code < 0x20 || code == 0x7F)) {
                result += static_cast<char>(code);
                i += 4;
                continue;
            }
        }
        result += text[i];
    }
    return result;
}

std::string_view trimmed_spaces(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

void read_number(std::string_view text, double low, double high, double& value) {
    double read = 0.0;
    const auto result = std::from_chars(text.data(), text.data() + text.size(), read);
    if (result.ec == std::errc() && read >= low && read <= high) value = read;
}

void read_number(std::string_view text, int low, int high, int& value) {
    double read = value;
    read_number(text, low, high, read);
    value = static_cast<int>(read);
}

void read_flag(std::string_view text, bool& value) {
    if (text == "true") value = true;
    if (text == "false") value = false;
}

template <class Word, std::size_t count>
void read_word(std::string_view text, const std::string_view (&words)[count], Word& value) {
    const auto word = unquoted(text);
    if (!word) return;
    const auto found = std::find(std::begin(words), std::end(words), *word);
    if (found != std::end(words)) value = static_cast<Word>(found - std::begin(words));
}

void read_text(std::string_view text, std::string& value) {
    if (auto read = unquoted(text)) value = std::move(*read);
}

void read_line(std::string_view key, std::string_view value, Settings& settings) {
    if (key == "look") read_word(value, looks, settings.look);
    if (key == "scale") read_number(value, 0.5, 4.0, settings.scale);
    if (key == "tab") read_word(value, tabs, settings.tab);
    if (key == "by_octaves") read_flag(value, settings.by_octaves);
    if (key == "spectrogram") read_flag(value, settings.spectrogram);
    if (key == "listening") read_flag(value, settings.listening);
    if (key == "caution_seen") read_flag(value, settings.caution_seen);
    if (key == "keep_seconds") {
        int chosen = 0;
        read_number(value, 1, 600, chosen);
        if (std::ranges::find(keep_choices_seconds, chosen) != std::end(keep_choices_seconds))
            settings.keep_seconds = chosen;
    }
    if (key == "width") read_number(value, 640, 20000, settings.width);
    if (key == "height") read_number(value, 480, 20000, settings.height);
    if (key == "device") read_text(value, settings.device);
    if (key == "sheet") read_text(value, settings.sheet);
    if (key == "save_folder") read_text(value, settings.save_folder);
}

}  // namespace

Settings settings_from(std::string_view text) {
    Settings settings;
    while (!text.empty()) {
        const auto end = std::min(text.find('\n'), text.size());
        const std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        const auto equals = line.find('=');
        if (equals == std::string_view::npos) continue;
        read_line(trimmed_spaces(line.substr(0, equals)), trimmed_spaces(line.substr(equals + 1)), settings);
    }
    return settings;
}

std::string settings_text(const Settings& settings) {
    const auto flag = [](bool value) { return std::string(value ? "true" : "false"); };
    return "# What the window of Tattletone remembers. It may be deleted.\n"
           "look = " +
           in_quotes(looks[static_cast<int>(settings.look)]) + "\nscale = " + base::fixed(settings.scale, 2) +
           "\ntab = " + in_quotes(tabs[static_cast<int>(settings.tab)]) +
           "\nby_octaves = " + flag(settings.by_octaves) + "\nspectrogram = " + flag(settings.spectrogram) +
           "\ncaution_seen = " + flag(settings.caution_seen) +
           "\nkeep_seconds = " + std::to_string(settings.keep_seconds) + "\nwidth = " + std::to_string(settings.width) +
           "\nheight = " + std::to_string(settings.height) + "\nlistening = " + flag(settings.listening) +
           "\ndevice = " + in_quotes(settings.device) + "\nsheet = " + in_quotes(settings.sheet) +
           "\nsave_folder = " + in_quotes(settings.save_folder) + "\n";
}

}  // namespace tattletone::window
