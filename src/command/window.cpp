#include "command/console.h"
#include "command/folders.h"
#include "command/logbook_file.h"
#include "command/options.h"
#include "command/verb.h"
#include "window/run_window.h"

namespace tattletone {

int run_window_verb(const Arguments& arguments) {
    WindowWish wish;
    std::string device, logbook;
    Options options(
        "window",
        "Opens the window: hold the board to the microphone and watch which rate sings. "
        "'tattletone' alone\ndoes the same.",
        "  tattletone window --board heron.toml\n"
        "  tattletone window take.flac --board heron.toml --room room.flac");
    options.app.add_option("FILE", wish.files, "recordings of one unit")->type_name("");
    options.app.add_option("--board", wish.sheet, "the board sheet")->type_name("SHEET");
    options.app.add_option("--room", wish.room, "the same place with the board unpowered")
        ->type_name("FILE");
    const auto* device_option =
        options.app
            .add_option("--device", device,
                        "listen at once: number or part of the name, as 'devices' lists them")
            ->type_name("D");
    options.app
        .add_option("--folder", wish.save_folder, "where pictures, findings and recordings go")
        ->type_name("FOLDER");
    options.flag("--demo", wish.demo, "play the demo as if it were live");
    options.flag("--ignore-confirmed", wish.ignore_confirmed,
                 "diagnose without what this bench has confirmed or rejected");
    declare_logbook(options, logbook);
    if (const auto status = options.parse(arguments)) return *status;
    if (device_option->given()) wish.device = device;
    wish.logbook = logbook_path(logbook);
    wish.user = user_name();
    if (const auto error = run_window(wish)) {
        tell(*error);
        return exit_failed;
    }
    return exit_done;
}

}  // namespace tattletone
