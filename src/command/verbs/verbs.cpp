#include "command/verbs/verb.h"

namespace tattletone::command {

std::span<const Verb> verbs() {
    static constexpr Verb table[] = {
        {"window", "hold the board to the microphone and watch which rate sings", run_window_verb},
        {"examine", "diagnose recordings of one unit", run_examine},
        {"next", "the experiments that would tell the suspects apart best", run_next},
        {"listen", "live in the terminal: tones and suspects", run_listen},
        {"toggle", "a random order of switching parts, which proves what sings", run_toggle},
        {"predict", "the lines to expect from a board sheet, and what tells them apart", run_predict},
        {"headroom", "what each rail can supply, and whether another regulator would do", run_headroom},
        {"trace", "an oscilloscope's CSV: how often a rail dips, and which rate that is", run_trace},
        {"unit", "the logbook's units: add, list, show, what was confirmed", run_unit},
        {"batch", "which tones recur in a batch, and in how many units", run_batch},
        {"complaint", "testers' clips: sorted, with the draft of a reply", run_complaint},
        {"compare", "revisions, firmwares, batches, before and after a fix", run_compare},
        {"report", "pages of units, batches, complaints and comparisons", run_report},
        {"logbook", "the logbook itself: check, backup, merge", run_logbook},
        {"devices", "microphones, their sample rates, and what to switch off", run_devices},
        {"help", "the manual, topic by topic", run_help},
    };
    return table;
}

}  // namespace tattletone::command
