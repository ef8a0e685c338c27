#include "command/arguments/folders.h"
#include "command/arguments/logbook_file.h"
#include "command/arguments/options.h"
#include "command/terminal/console.h"
#include "command/verbs/verb.h"
#include "window/platform/run_window.h"

namespace tattletone::command {

int run_window_verb(const Arguments& arguments) {
    window::WindowOptions chosen;
    std::string device, logbook;
    Options options("window",
                    "Opens the window: hold the board to the microphone and watch which rate sings. "
                    "'tattletone' alone\ndoes the same.",
                    "  tattletone window --board heron.toml\n"
                    "  tattletone window take.flac --board heron.toml --room room.flac");
    options.app.add_option("FILE", chosen.files, "recordings of one unit")->type_name("");
    options.app.add_option("--board", chosen.sheet, "the board sheet")->type_name("SHEET");
    options.app.add_option("--room", chosen.room, "the same place with the board unpowered")->type_name("FILE");
    options.app
        .add_option("--far", chosen.far, "the same state with the microphone 60 cm from the board instead of 3 cm")
        ->type_name("FILE")
        ->repeatable();
    const auto* device_option =
        options.app
            .add_option("--device", device, "listen at once: number or part of the name, as 'devices' lists them")
            ->type_name("D");
    options.app.add_option("--folder", chosen.save_folder, "where pictures, findings and recordings go")
        ->type_name("FOLDER");
    options.flag("--demo", chosen.demo, "play the demo as if it were live");
    options.flag("--ignore-confirmed", chosen.ignore_confirmed,
                 "diagnose without what this bench has confirmed or rejected");
    declare_logbook(options, logbook);
    if (const auto status = options.parse(arguments)) return *status;
    if (device_option->given()) chosen.device = device;
    chosen.logbook = logbook_path(logbook);
    chosen.user = user_name();
    if (const auto error = window::run_window(chosen)) {
        tell(*error);
        return exit_failed;
    }
    return exit_done;
}

}  // namespace tattletone::command
