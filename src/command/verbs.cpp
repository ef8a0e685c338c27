#include "command/verb.h"

namespace tattletone {

std::span<const Verb> verbs() {
    static constexpr Verb table[] = {
#ifdef TATTLETONE_WITH_EXAMINE
        {"examine", "diagnose recordings of one unit", run_examine},
#endif
        {"predict", "the lines to expect from a board sheet, and what tells them apart",
         run_predict},
#ifdef TATTLETONE_WITH_LISTEN
        {"listen", "live in the terminal: tones and suspects", run_listen},
        {"devices", "microphones, their sample rates, and what to switch off", run_devices},
#endif
    };
    return table;
}

}  // namespace tattletone
