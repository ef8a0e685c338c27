#include "command/arguments/trace_options.h"

#include <algorithm>

#include "base/text/number.h"
#include "base/text/printable.h"
#include "command/terminal/console.h"
#include "match/model/parameters.h"

namespace tattletone::command {
namespace {

constexpr double usual_clock_ppm = 50.0, usual_margin = 0.05;
constexpr double coupled_ac = 0.1;  ///< of a rail's voltage: a mean below it is none of a rail that works

std::string list_of(const scope::TraceFile& file) {
    std::string list;
    for (const scope::TraceColumn& column : file.columns)
        list += (list.empty() ? "'" : ", '") + base::briefly(column.name) + "'";
    return list;
}

bool keep_column(scope::TraceFile& file, const std::string& name) {
    if (name.empty()) return true;
    const auto found = std::find_if(file.columns.begin(), file.columns.end(),
                                    [&](const scope::TraceColumn& c) { return c.name == name; });
    if (found == file.columns.end()) {
        tell({file.origin, "there is no column '" + name + "'", "It has " + list_of(file)});
        return false;
    }
    scope::TraceColumn kept = std::move(*found);
    file.columns.clear();
    file.columns.push_back(std::move(kept));
    return true;
}

std::string name_clash(const board::BoardSheet& sheet, const std::string& column, int rail) {
    const int named = match::rail_named(sheet, column).value_or(rail);
    if (named == rail) return {};
    const auto id = [&](int index) { return sheet.rails[static_cast<std::size_t>(index)].id; };
    return "Careful: the column '" + column + "' is named after the rail " + id(named) + ", and is taken as " +
           id(rail) + " only because that was asked for.";
}

}  // namespace

void declare_trace(Options& options, TraceOptions& chosen) {
    OptionTable& app = options.app;
    app.add_option("--trace", chosen.file,
                   "an oscilloscope's CSV of the same unit, as evidence ('tattletone trace --help')")
        ->type_name("FILE.csv");
    app.add_option("--rail,--trace-rail", chosen.rail, "the rail that was probed, where its name does not say")
        ->type_name("ID");
    app.add_option("--column,--trace-column", chosen.column, "the column to use, where there are several")
        ->type_name("NAME");
    app.add_option("--below", chosen.below, "the level that its dips go below (default: 5 % under the rail's v_out)")
        ->type_name("V");
    app.add_option("--interval", chosen.interval, "seconds from row to row of the trace, where it does not say")
        ->type_name("S");
    app.add_option("--clock-ppm", chosen.clock_ppm, "how far off the scope's clock may be (default 50)")
        ->type_name("PPM");
}

bool trace_fits(const Options& options, const TraceOptions& chosen, bool take_stdin) {
    if (chosen.file == "-" && take_stdin) {
        options.wrong_usage("--trace", "standard input cannot be both a recording and the trace",
                            "Give a file for one of the two");
        return false;
    }
    if (!chosen.file.empty()) return true;
    for (const auto& [option, value] : {std::pair{"--rail", &chosen.rail},
                                        {"--column", &chosen.column},
                                        {"--below", &chosen.below},
                                        {"--interval", &chosen.interval},
                                        {"--clock-ppm", &chosen.clock_ppm}}) {
        if (value->empty()) continue;
        options.wrong_usage(option, "there is no trace that it could be about", "Give --trace FILE.csv too");
        return false;
    }
    return true;
}

std::optional<ReadTrace> read_trace_of(const Options& options, const TraceOptions& chosen,
                                       const board::BoardSheet* sheet, int& status) {
    status = exit_usage;
    std::optional<double> below, interval, clock = usual_clock_ppm;
    if (!chosen.below.empty() && !(below = options.number("--below", chosen.below, -1e6, 1e6))) return {};
    if (!chosen.interval.empty() && !(interval = options.number("--interval", chosen.interval, 1e-13, 1e4))) return {};
    if (!chosen.clock_ppm.empty() && !(clock = options.number("--clock-ppm", chosen.clock_ppm, 0.0, 1e5))) return {};
    if (!chosen.rail.empty() && sheet == nullptr) {
        options.wrong_usage("--rail", "without a board sheet there are no rails", "Give --board SHEET too");
        return {};
    }
    status = exit_failed;
    std::optional<int> rail;
    if (!chosen.rail.empty()) {
        rail = match::rail_named(*sheet, chosen.rail);
        if (!rail) {
            std::string rails;
            for (const board::Rail& one : sheet->rails) rails += (rails.empty() ? "" : ", ") + one.id;
            tell({sheet->path, "there is no rail '" + chosen.rail + "'",
                  rails.empty() ? "The sheet declares none" : "It has " + rails});
            return {};
        }
    }
    auto file = scope::read_trace(chosen.file, interval);
    if (!file) {
        tell(file.error());
        return {};
    }
    if (!keep_column(*file, chosen.column)) return {};
    const match::MatchParameters parameters = match::fitted_parameters();
    ReadTrace read;
    report::TraceReport& report = read.report;
    report.origin = file->origin;
    report.rows = file->rows();
    report.increment_seconds = file->increment_seconds;
    report.seconds = file->seconds();
    report.clock_ppm = *clock;
    report.notices = file->notices;
    if (sheet != nullptr) report.board = sheet->name + (sheet->revision.empty() ? "" : " " + sheet->revision);
    for (const scope::TraceColumn& column : file->columns) {
        report::TraceColumnReport told;
        told.name = column.name;
        told.unit = column.unit;
        const int on = rail ? *rail : sheet != nullptr ? match::rail_named(*sheet, column.name).value_or(-1) : -1;
        const board::Rail* const known = on >= 0 ? &sheet->rails[static_cast<std::size_t>(on)] : nullptr;
        std::optional<double> level = below;
        told.level_from = "as asked for";
        if (known != nullptr) told.rail = known->id;
        if (rail) told.warning = name_clash(*sheet, column.name, *rail);
        if (!below) {
            const auto v_out = known != nullptr && column.unit == "V" ? known->v_out : std::nullopt;
            if (v_out) level = (1.0 - usual_margin) * *v_out;
            told.level_from = v_out ? "5 % under the " + base::trimmed(*v_out, 3) + " V of the sheet"
                                    : "half way, as --below is not given";
        }
        told.shape = scope::analyse_trace(column.values, file->increment_seconds, file->increment_sd, level);
        // Coupled AC the trace knows no absolute level: the same 5 % then hang on its mean.
        const auto v_out = known != nullptr && column.unit == "V" ? known->v_out : std::nullopt;
        if (v_out && std::abs(told.shape.mean) < coupled_ac * *v_out &&
            told.shape.maximum - told.shape.minimum < 0.5 * *v_out) {
            told.ac_coupled = true;
            if (!below) {
                level = told.shape.mean - usual_margin * *v_out;
                told.level_from =
                    "5 % of the sheet's " + base::trimmed(*v_out, 3) + " V under the mean, for the trace is coupled AC";
                told.shape = scope::analyse_trace(column.values, file->increment_seconds, file->increment_sd, level);
            }
        }
        if (told.shape.repetition && sheet != nullptr)
            told.causes = match::causes_of(*sheet, report::line_of(told, on, *clock), parameters);
        if (told.shape.repetition && sheet != nullptr && (told.causes.empty() || told.causes[0].probability < 0.5))
            if (const auto folded =
                    match::folded_rate(*sheet, report::line_of(told, on, *clock), file->increment_seconds)) {
                told.folded_from = folded->rate;
                told.folded_hz = folded->hz;
                told.shape.coarse_hz = told.shape.repetition->hz;
                told.shape.repetition.reset();
                told.causes.clear();
            }
        read.rails.push_back(on);
        report.columns.push_back(std::move(told));
    }
    read.file = std::move(*file);
    status = exit_done;
    return read;
}

std::optional<TraceEvidence> trace_evidence(const Options& options, const TraceOptions& chosen,
                                            const board::BoardSheet* sheet, int& status) {
    status = exit_done;
    if (chosen.file.empty()) return {};
    auto read = read_trace_of(options, chosen, sheet, status);
    if (!read) return {};
    auto& columns = read->report.columns;
    int picked = -1;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        if (!columns[i].shape.repetition) continue;
        if (picked < 0 || (read->rails[static_cast<std::size_t>(picked)] < 0 && read->rails[i] >= 0))
            picked = static_cast<int>(i);
    }
    if (picked < 0) {
        status = exit_failed;
        const bool coarse =
            std::any_of(columns.begin(), columns.end(), [](const auto& c) { return c.shape.coarse_hz > 0.0; });
        tell({read->report.origin,
              coarse ? "the rate cannot be told: too few samples a period"
                     : "nothing in it repeats evenly at least three times",
              coarse ? "'tattletone trace' says which sampling would tell it"
                     : "Look at it with 'tattletone trace'; record 50 periods or more"});
        return {};
    }
    for (const std::string& notice : read->report.notices)
        tell_note("tattletone: " + read->report.origin + ": " + notice);
    const auto index = static_cast<std::size_t>(picked);
    TraceEvidence evidence;
    evidence.join.line = report::line_of(columns[index], read->rails[index], read->report.clock_ppm);
    columns = {report::TraceColumnReport(columns[index])};
    read->report.pictures = {
        report::trace_svg(read->file.columns[index].values, read->report.increment_seconds, columns[0], false)};
    evidence.report = std::move(read->report);
    return evidence;
}

}  // namespace tattletone::command
