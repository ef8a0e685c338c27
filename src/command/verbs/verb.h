#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace tattletone::command {

/// What the program tells the shell. `heard` only where the user asked for it (--fail-if-heard).
enum ExitStatus : int { exit_done = 0, exit_failed = 1, exit_usage = 2, exit_heard = 3, exit_cannot_tell = 4 };

/// What stands behind the verb on the command line, as UTF-8.
using Arguments = std::vector<std::string>;

/// One verb: what the user types, one line for the list of verbs, and what it does. `run` returns
/// an ExitStatus and has told every error by then; nothing is thrown out of it.
struct Verb {
    std::string_view name;
    std::string_view summary;
    int (*run)(const Arguments& arguments);
};

/// The table, in the order in which the help shows it.
std::span<const Verb> verbs();

int run_devices(const Arguments& arguments);
int run_listen(const Arguments& arguments);
int run_examine(const Arguments& arguments);
int run_next(const Arguments& arguments);
int run_toggle(const Arguments& arguments);
int run_predict(const Arguments& arguments);
int run_headroom(const Arguments& arguments);
int run_window_verb(const Arguments& arguments);
int run_trace(const Arguments& arguments);
int run_unit(const Arguments& arguments);
int run_batch(const Arguments& arguments);
int run_compare(const Arguments& arguments);
int run_complaint(const Arguments& arguments);
int run_report(const Arguments& arguments);
int run_logbook(const Arguments& arguments);
int run_help(const Arguments& arguments);

}  // namespace tattletone::command
