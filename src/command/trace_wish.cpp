#include "command/trace_wish.h"

#include <algorithm>

#include "base/printable.h"
#include "command/console.h"
#include "match/parameters.h"
#include "report/number.h"

namespace tattletone {
namespace {

constexpr double usual_clock_ppm = 50.0, usual_margin = 0.05;

std::string list_of(const TraceFile& file) {
    std::string list;
    for (const TraceColumn& column : file.columns)
        list += (list.empty() ? "'" : ", '") + briefly(column.name) + "'";
    return list;
}

bool keep_column(TraceFile& file, const std::string& name) {
    if (name.empty()) return true;
    const auto found = std::find_if(file.columns.begin(), file.columns.end(),
                                    [&](const TraceColumn& c) { return c.name == name; });
    if (found == file.columns.end()) {
        tell({file.origin, "there is no column '" + name + "'", "It has " + list_of(file)});
        return false;
    }
    TraceColumn kept = std::move(*found);
    file.columns.clear();
    file.columns.push_back(std::move(kept));
    return true;
}

std::string name_clash(const BoardSheet& sheet, const std::string& column, int rail) {
    const int named = rail_named(sheet, column).value_or(rail);
    if (named == rail) return {};
    const auto id = [&](int index) { return sheet.rails[static_cast<std::size_t>(index)].id; };
    return "Careful: the column '" + column + "' is named after the rail " + id(named) +
           ", and is taken as " + id(rail) + " only because that was asked for.";
}

}  // namespace

void declare_trace(Options& options, TraceWish& wish) {
    wish.rail_option = "--trace-rail";
    OptionTable& app = options.app;
    app.add_option(
           "--trace", wish.file,
           "an oscilloscope's CSV of the same unit, as evidence ('tattletone trace --help')")
        ->type_name("FILE.csv");
    app.add_option("--trace-rail", wish.rail,
                   "the rail that was probed, where its name does not say")
        ->type_name("ID");
    app.add_option("--trace-column", wish.column, "the column to use, where there are several")
        ->type_name("NAME");
    app.add_option("--clock-ppm", wish.clock_ppm,
                   "how far off the scope's clock may be (default 50)")
        ->type_name("PPM");
}

bool trace_fits(const Options& options, const TraceWish& wish, const std::vector<Take>& takes,
                const std::string& room) {
    const bool stdin_taken =
        room == "-" || std::any_of(takes.begin(), takes.end(),
                                   [](const Take& take) { return take.path == "-"; });
    if (wish.file == "-" && stdin_taken) {
        options.wrong_usage("--trace", "standard input cannot be both a recording and the trace",
                            "Give a file for one of the two");
        return false;
    }
    if (!wish.file.empty()) return true;
    for (const auto& [option, value] : {std::pair{"--trace-rail", &wish.rail},
                                        {"--trace-column", &wish.column},
                                        {"--clock-ppm", &wish.clock_ppm}}) {
        if (value->empty()) continue;
        options.wrong_usage(option, "there is no trace that it could be about",
                            "Give --trace FILE.csv too");
        return false;
    }
    return true;
}

std::optional<ReadTrace> read_trace_of(const Options& options, const TraceWish& wish,
                                       const BoardSheet* sheet, int& status) {
    status = exit_usage;
    std::optional<double> below, interval, clock = usual_clock_ppm;
    if (!wish.below.empty() && !(below = options.number("--below", wish.below, -1e6, 1e6)))
        return {};
    if (!wish.interval.empty() &&
        !(interval = options.number("--interval", wish.interval, 1e-13, 1e4)))
        return {};
    if (!wish.clock_ppm.empty() &&
        !(clock = options.number("--clock-ppm", wish.clock_ppm, 0.0, 1e5)))
        return {};
    if (!wish.rail.empty() && sheet == nullptr) {
        options.wrong_usage(wish.rail_option, "without a board sheet there are no rails",
                            "Give --board SHEET too");
        return {};
    }
    status = exit_failed;
    std::optional<int> rail;
    if (!wish.rail.empty()) {
        rail = rail_named(*sheet, wish.rail);
        if (!rail) {
            std::string rails;
            for (const Rail& one : sheet->rails) rails += (rails.empty() ? "" : ", ") + one.id;
            tell({sheet->path, "there is no rail '" + wish.rail + "'",
                  rails.empty() ? "The sheet declares none" : "It has " + rails});
            return {};
        }
    }
    auto file = read_trace(wish.file, interval);
    if (!file) {
        tell(file.error());
        return {};
    }
    if (!keep_column(*file, wish.column)) return {};
    const MatchParameters parameters = fitted_parameters();
    ReadTrace read;
    TraceReport& report = read.report;
    report.origin = file->origin;
    report.rows = file->rows();
    report.increment_seconds = file->increment_seconds;
    report.seconds = file->seconds();
    report.clock_ppm = *clock;
    report.notices = file->notices;
    if (sheet != nullptr)
        report.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);
    for (const TraceColumn& column : file->columns) {
        TraceColumnReport told;
        told.name = column.name;
        told.unit = column.unit;
        const int on = rail               ? *rail
                       : sheet != nullptr ? rail_named(*sheet, column.name).value_or(-1)
                                          : -1;
        const Rail* const known = on >= 0 ? &sheet->rails[static_cast<std::size_t>(on)] : nullptr;
        std::optional<double> level = below;
        told.level_from = "as asked for";
        if (known != nullptr) told.rail = known->id;
        if (rail) told.warning = name_clash(*sheet, column.name, *rail);
        if (!below) {
            const auto v_out = known != nullptr && column.unit == "V" ? known->v_out : std::nullopt;
            if (v_out) level = (1.0 - usual_margin) * *v_out;
            told.level_from = v_out ? "5 % under the " + trimmed(*v_out, 3) + " V of the sheet"
                                    : "half way, as --below is not given";
        }
        told.shape =
            analyse_trace(column.values, file->increment_seconds, file->increment_sd, level);
        if (told.shape.repetition && sheet != nullptr)
            told.causes = causes_of(*sheet, line_of(told, on, *clock), parameters);
        read.rails.push_back(on);
        report.columns.push_back(std::move(told));
    }
    read.file = std::move(*file);
    status = exit_done;
    return read;
}

std::optional<TraceEvidence> trace_evidence(const Options& options, const TraceWish& wish,
                                            const BoardSheet* sheet, int& status) {
    status = exit_done;
    if (wish.file.empty()) return {};
    auto read = read_trace_of(options, wish, sheet, status);
    if (!read) return {};
    auto& columns = read->report.columns;
    int chosen = -1;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        if (!columns[i].shape.repetition) continue;
        if (chosen < 0 ||
            (read->rails[static_cast<std::size_t>(chosen)] < 0 && read->rails[i] >= 0))
            chosen = static_cast<int>(i);
    }
    if (chosen < 0) {
        status = exit_failed;
        tell({read->report.origin, "nothing in it repeats evenly at least three times",
              "Look at it with 'tattletone trace'; record 50 periods or more"});
        return {};
    }
    for (const std::string& notice : read->report.notices)
        tell_note("tattletone: " + read->report.origin + ": " + notice);
    const auto index = static_cast<std::size_t>(chosen);
    TraceEvidence evidence;
    evidence.join.line = line_of(columns[index], read->rails[index], read->report.clock_ppm);
    columns = {TraceColumnReport(columns[index])};
    read->report.pictures = {trace_svg(read->file.columns[index].values,
                                       read->report.increment_seconds, columns[0], false)};
    evidence.report = std::move(read->report);
    return evidence;
}

}  // namespace tattletone
