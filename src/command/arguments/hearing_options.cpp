#include "command/arguments/hearing_options.h"

#include <algorithm>
#include <charconv>

#include "base/text/number.h"
#include "command/clip_tones.h"
#include "command/terminal/console.h"
#include "report/text/columns.h"

namespace tattletone::command {
namespace {

constexpr double least_calibrator_to_noise_db = 20.0;

std::optional<report::Listener> listener_of(const Options& options, const std::string& text) {
    const std::size_t colon = text.find(':');
    report::Listener listener;
    if (colon != std::string::npos) {
        const std::string sex = text.substr(colon + 1);
        if (sex == "woman")
            listener.sex = cause::Sex::female;
        else if (sex == "man")
            listener.sex = cause::Sex::male;
        else {
            options.wrong_usage("--hearing", "'" + text + "' is not AGE, AGE:woman or AGE:man",
                                "Write, for instance, --hearing 55:man");
            return std::nullopt;
        }
    }
    const auto age = options.number("--hearing", text.substr(0, colon), cause::lowest_age,
                                    cause::oldest_at(cause::lowest_age_table_hz));
    if (!age) return std::nullopt;
    listener.age = *age;
    return listener;
}

// The level that a calibrator's recording shows: its strongest tone.
std::optional<double> calibrator_dbfs(const std::string& path) {
    auto reader = sound::ClipReader::open(path);
    if (!reader) {
        tell(reader.error());
        return std::nullopt;
    }
    const auto found = tones_of_clip(*reader, {});
    if (!found) {
        tell(found.error());
        return std::nullopt;
    }
    for (const std::string& notice : found->notices) tell_note("tattletone: " + path + ": " + notice);
    const auto strongest =
        std::max_element(found->tones.begin(), found->tones.end(),
                         [](const tones::Tone& a, const tones::Tone& b) { return a.level_dbfs < b.level_dbfs; });
    if (strongest != found->tones.end() && strongest->tone_to_noise_db >= least_calibrator_to_noise_db)
        return strongest->level_dbfs;
    tell({path, "no calibrator's tone stands out in it",
          "Record the calibrator on the microphone for 5 s or more, at the gain of the other recordings"});
    return std::nullopt;
}

}  // namespace

void declare_hearing(Options& options, HearingOptions& typed) {
    options.app
        .add_option("--hearing", typed.listeners,
                    "who hears the tones: at this age (18 to 80), all, women or men; repeatable")
        ->type_name("AGE[:woman|:man]")
        ->repeatable();
    options.app
        .add_option("--calibration", typed.calibration,
                    "sound pressure: a recording of a calibrator of that many dB SPL at the same gain (94=cal.wav), or "
                    "the level that it shows (94=-31.2dBFS)")
        ->type_name("DB=FILE|LEVEL");
}

std::optional<report::HearingOptions> read_hearing(const Options& options, const HearingOptions& typed, int& status) {
    status = exit_usage;
    report::HearingOptions chosen;
    chosen.asked = !typed.listeners.empty() || !typed.calibration.empty();
    for (const std::string& text : typed.listeners) {
        const auto listener = listener_of(options, text);
        if (!listener) return std::nullopt;
        chosen.listeners.push_back(*listener);
    }
    if (typed.calibration.empty()) return chosen;
    const auto split = split_name_and_file(typed.calibration);
    if (!split) {
        options.wrong_usage("--calibration", "'" + typed.calibration + "' is not DB=FILE or DB=LEVELdBFS",
                            "Write, for instance, --calibration 94=cal.wav or --calibration 94=-31.2dBFS");
        return std::nullopt;
    }
    const auto spl = options.number("--calibration", split->first, 20.0, 160.0);
    if (!spl) return std::nullopt;
    constexpr std::string_view unit = "dBFS";
    std::optional<double> shown;
    if (split->second.ends_with(unit)) {
        shown =
            options.number("--calibration", split->second.substr(0, split->second.size() - unit.size()), -200.0, 3.1);
    } else if (double level = 0.0;
               std::from_chars(split->second.data(), split->second.data() + split->second.size(), level).ptr ==
               split->second.data() + split->second.size()) {
        options.wrong_usage("--calibration", "'" + typed.calibration + "' has a level without its unit",
                            "Write it as " + split->first + "=" + split->second + "dBFS");
    } else {
        status = exit_failed;
        shown = calibrator_dbfs(split->second);
    }
    if (!shown) return std::nullopt;
    chosen.spl_at_0_dbfs = *spl - *shown;
    chosen.calibrated_by = base::trimmed(*spl, 1) + " dB SPL shows " + base::fixed(*shown, 1) + " dBFS" +
                           (split->second.ends_with(unit) ? "" : " in " + base::printable(split->second));
    return chosen;
}

}  // namespace tattletone::command
