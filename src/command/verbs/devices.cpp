#include "sound/capture/devices.h"

#include <algorithm>

#include "base/text/json_writer.h"
#include "base/text/number.h"
#include "base/text/printable.h"
#include "command/arguments/options.h"
#include "command/terminal/console.h"

namespace tattletone::command {
namespace {

struct Advice {
    const char* where;
    const char* what;
};

/// What removes steady tones before any program hears them, by kind of system, in the systems' own
/// words.
constexpr Advice switch_off[] = {
    {"Windows", "In the sound settings open the microphone's properties and turn audio enhancements off."},
    {"macOS", "While listening, choose Standard as microphone mode, not a mode that isolates the voice."},
    {"Linux",
     "Choose the microphone itself, not a source named after echo cancellation or noise "
     "suppression."},
    {"any system",
     "Speech enhancement, noise suppression, echo cancellation and automatic gain remove or "
     "pump steady tones: all four off."},
    {"Bluetooth", "A headset's talking profile ends at 4 or 8 kHz: use the built-in or a wired microphone."},
    {"phone", "Record without voice or meeting mode, in the least compressed format that the recorder has."},
};

double widest_rate_hz(const sound::InputDevice& device) {
    return device.rates_hz.empty() ? device.default_rate_hz
                                   : *std::max_element(device.rates_hz.begin(), device.rates_hz.end());
}

std::string rates_text(const sound::InputDevice& device) {
    std::string text;
    for (const double rate : device.rates_hz) text += (text.empty() ? "" : ", ") + base::trimmed(rate / 1000.0, 3);
    return text.empty() ? "takes none of the usual sample rates (in use, or not allowed)" : text + " kHz";
}

std::string switch_off_text() {
    std::string text = "What to switch off, or steady tones are gone before they get here\n";
    for (const Advice& advice : switch_off) {
        std::string line = "  " + std::string(advice.where) + ": ";
        std::size_t column = line.size();
        std::string rest = advice.what;
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find(' '), rest.size());
            if (column + end > 79) {
                line += "\n    ";
                column = 4;
            }
            line += rest.substr(0, end) + (end < rest.size() ? " " : "");
            column += end + 1;
            rest.erase(0, end + 1);
        }
        for (std::size_t at; (at = line.find(" \n")) != std::string::npos;) line.erase(at, 1);
        text += line + '\n';
    }
    return text;
}

std::string as_text(const std::vector<sound::InputDevice>& found) {
    std::string text = "Microphones\n";
    for (const sound::InputDevice& device : found) {
        text += "  " + std::to_string(device.index) + "  " + base::printable(device.name) +
                (device.is_default ? "  (default)" : "") + "\n       through " +
                base::printable(device.host_interface) + ": " + rates_text(device) + '\n';
        if (widest_rate_hz(device) < 32000.0) {
            text += "       hears nothing above " + base::short_hz(widest_rate_hz(device) / 2.0) + '\n';
        }
    }
    return text + "'tattletone listen --device NUMBER' (or a part of the name) listens to one.\n\n" + switch_off_text();
}

std::string as_json(const std::vector<sound::InputDevice>& found) {
    base::JsonWriter json;
    json.open('{').key("format").text("tattletone devices 1").key("devices").open('[');
    for (const sound::InputDevice& device : found) {
        json.open('{').key("index").integer(device.index).key("name").text(device.name);
        json.key("host_interface").text(device.host_interface).key("channels").integer(device.channels);
        json.key("default").boolean(device.is_default);
        json.key("default_rate_hz").whole_or_real(device.default_rate_hz, 3).key("rates_hz").open('[');
        for (const double rate : device.rates_hz) json.whole_or_real(rate, 3);
        json.close(']').close('}');
    }
    json.close(']').key("switch_off").open('[');
    for (const Advice& advice : switch_off) {
        json.open('{').key("where").text(advice.where).key("what").text(advice.what).close('}');
    }
    json.close(']').close('}');
    return json.str() + '\n';
}

}  // namespace

int run_devices(const Arguments& arguments) {
    bool json = false;
    Options options("devices", "Microphones with their sample rates, and what to switch off on the way to them.",
                    "  tattletone devices");
    options.flag("--json", json, "one line of JSON");
    if (const auto status = options.parse(arguments)) return *status;
    const auto found = sound::devices();
    if (!found || found->empty()) {
        if (!print(json ? as_json({}) : switch_off_text())) return exit_failed;
        tell(found ? Error{"microphone", "no microphone was found",
                           "Plug one in, and allow this program to record in the system's privacy "
                           "settings"}
                   : found.error());
        return exit_failed;
    }
    return print(json ? as_json(*found) : as_text(*found)) ? exit_done : exit_failed;
}

}  // namespace tattletone::command
