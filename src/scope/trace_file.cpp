#include "scope/trace_file.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>

#include "base/text/printable.h"
#include "scope/trace_layout.h"
#include "scope/trace_lines.h"
#include "scope/trace_times.h"

namespace tattletone::scope {
namespace {

constexpr std::size_t head_lines = 4000, most_columns = 16, most_values = 400'000'000;

std::string short_number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.9g", value);
    return text;
}

std::string counted(std::size_t count, const std::string& what) {
    return std::to_string(count) + " " + what + (count == 1 ? "" : "s");
}

class Reader {
  public:
    Reader(const std::string& path, std::optional<double> increment) : path_(path), given_increment_(increment) {}

    Result<TraceFile> read() {
        auto bytes = sound::ByteStream::open(path_);
        if (!bytes) return bytes.error();
        bytes->stop_keeping();
        TraceLines lines(*bytes);
        std::vector<std::string> head;
        std::string_view line;
        while (head.size() < head_lines && lines.next(line)) head.emplace_back(line);
        file_.origin = path_ == "-" ? "standard input" : path_;
        if (auto error = find_layout(head, lines)) return *error;
        for (std::size_t i = layout_.first_line; i < head.size(); ++i)
            if (auto error = take_row(head[i], i + 1)) return *error;
        while (lines.next(line))
            if (auto error = take_row(line, lines.number())) return *error;
        if (!lines.is_text()) return error_at(lines.number() + 1, "this is no text", "Export the trace as CSV");
        if (bytes->failed())
            return Error{file_.origin, "reading stopped before the end", "Check the disk or the network and try again"};
        if (auto error = set_times()) return *error;
        for (TraceColumn& column : file_.columns) mend(column);
        tell_of_footer();
        if (file_.columns.empty())
            return Error{file_.origin, "no column holds a value", "Export a time and a voltage in every row"};
        return std::move(file_);
    }

  private:
    Error error_at(std::size_t line, std::string what, std::string todo) const {
        return {file_.origin + ":" + std::to_string(line), std::move(what), std::move(todo)};
    }

    std::optional<Error> find_layout(const std::vector<std::string>& head, const TraceLines& lines) {
        if (!lines.is_text())
            return Error{file_.origin, "this is no text file",
                         "Export the trace as CSV: text with a time and a voltage in every row"};
        const auto layout = layout_of(head);
        if (!layout)
            return Error{file_.origin, "no rows of numbers are found",
                         "Export the trace as CSV with a time and a voltage in every row, such as 0.000001,3.012"};
        layout_ = *layout;
        if (given_increment_) layout_.increment_seconds = given_increment_;
        // Decimal commas between commas: every number falls in two.
        std::vector<std::string_view> names;
        if (layout_.first_line > 0) split_row(head[layout_.first_line - 1], ',', names);
        if (layout_.row.separator == ',' && names.size() >= 2 && 2 * names.size() == layout_.columns.size() &&
            layout_.columns.size() == layout_.columns.back() + 1)
            return error_at(layout_.first_line + 1,
                            "commas stand inside the numbers and between them: " + counted(names.size(), "name") +
                                ", but " + counted(layout_.columns.size(), "number"),
                            "Export with semicolons between columns or with decimal points");
        for (std::size_t k = 0; k < layout_.columns.size(); ++k) {
            const int at = static_cast<int>(k);
            if (at == layout_.index || at == layout_.time) continue;
            if (file_.columns.size() == most_columns) {
                file_.notices.push_back("The file has more columns than are read: those after " +
                                        file_.columns.back().name +
                                        " were left out. Export fewer channels to have them looked at.");
                break;
            }
            TraceColumn column;
            column.name =
                layout_.names[k].empty() ? "column " + std::to_string(layout_.columns[k] + 1) : layout_.names[k];
            const auto& unit = layout_.units[k];
            column.unit = unit ? unit->base : "V";
            scales_.push_back(unit ? unit->scale : 1.0);
            fields_.push_back(layout_.columns[k]);
            file_.columns.push_back(std::move(column));
        }
        if (file_.columns.empty())
            return error_at(layout_.first_line + 1, "there are times but no voltages",
                            "Export the channel too: a time and a voltage in every row");
        has_times_ = layout_.time >= 0 && !given_increment_;
        if (!has_times_ && !layout_.increment_seconds)
            return error_at(layout_.first_line + 1,
                            layout_.index >= 0 ? "the rows are numbered, but the time between them is not given"
                                               : "there is no column of times, and the time between rows is not given",
                            "Export with times, or say it: --interval 1e-6 for a row every microsecond");
        return {};
    }

    std::optional<Error> take_row(std::string_view line, std::size_t number) {
        if (line.empty() || line[0] == '#' || line[0] == '%') return {};
        split_row(line, layout_.row.separator, row_);
        bool any = false;
        std::size_t text = std::string::npos;
        double time = 0.0;
        FieldKind time_kind = FieldKind::number;
        if (has_times_) {
            const std::size_t at = layout_.columns[static_cast<std::size_t>(layout_.time)];
            const Field field =
                at < row_.size() ? read_field(row_[at], layout_.row.decimal) : Field{FieldKind::missing};
            time = field.value;
            time_kind = field.kind;
            if (field.kind == FieldKind::text) text = at;
        }
        values_.resize(fields_.size());
        for (std::size_t k = 0; k < fields_.size(); ++k) {
            const Field field = fields_[k] < row_.size() ? read_field(row_[fields_[k]], layout_.row.decimal)
                                                         : Field{FieldKind::missing};
            values_[k] = field.value;
            any = any || field.kind == FieldKind::number || field.kind == FieldKind::over_range;
            if (field.kind == FieldKind::text && text == std::string::npos) text = fields_[k];
        }
        // With a time of its own a row keeps its place though its value is none.
        if (text != std::string::npos && has_times_ && time_kind == FieldKind::number && file_.rows() > 0) {
            if (slips_++ == 0)
                slip_ = "Line " + std::to_string(number) + ", column " + std::to_string(text + 1) + ": '" +
                        base::briefly(row_[text]) + "' is no number";
            text = std::string::npos;
        }
        const bool is_row = text == std::string::npos && (any || (has_times_ && time_kind == FieldKind::number));
        if (!is_row) {
            if (text == std::string::npos) return {};  // separators only
            if (bad_lines_++ == 0) {
                bad_line_ = number;
                bad_ = error_at(
                    number, "column " + std::to_string(text + 1) + ": '" + base::briefly(row_[text]) + "' is no number",
                    "Write it like the others, " + std::string(layout_.row.decimal == ',' ? "0,0025" : "0.0025") +
                        ", or leave it empty; one trace a file");
            }
            return {};
        }
        if (bad_lines_ > 0) return bad_;
        if (has_times_) {
            if (time_kind != FieldKind::number)
                return error_at(number, "the time is missing",
                                "Give every row its time, or leave out the column of times and say --interval");
            if (!times_.empty() && time < times_.back())
                return error_at(number,
                                "the time goes back from " + short_number(times_.back()) + " to " + short_number(time),
                                "Export one trace a file, its rows in the order of time");
            times_.push_back(time);
        }
        for (std::size_t k = 0; k < fields_.size(); ++k)
            file_.columns[k].values.push_back(static_cast<float>(scales_[k] * values_[k]));
        lines_of_rows_ = number;
        if (file_.rows() * file_.columns.size() > most_values)
            return error_at(number, "the file holds more than 400 million values",
                            "Export a shorter trace; a second is plenty");
        return {};
    }

    std::optional<Error> set_times() {
        if (file_.rows() < 2) return error_at(lines_of_rows_, "there is one row only", "Export the whole trace");
        if (!has_times_) {
            file_.increment_seconds = *layout_.increment_seconds;
            file_.start_seconds = layout_.start_seconds.value_or(0.0);
            return {};
        }
        const auto& unit = layout_.units[static_cast<std::size_t>(layout_.time)];
        const double scale = unit && unit->base == "s" ? unit->scale : 1.0;
        for (double& t : times_) t *= scale;
        if (!(times_.back() > times_.front()))
            return error_at(lines_of_rows_, "all rows have the same time",
                            "Export with more digits, or say --interval 1e-6");
        const TraceTimes fit = fit_times(times_);
        file_.increment_seconds = fit.increment_seconds;
        file_.increment_sd = fit.increment_sd;
        file_.start_seconds = fit.start_seconds;
        if (fit.gap > 0)
            return Error{file_.origin,
                         "the times jump from " + short_number(times_[fit.gap - 1]) + " s to " +
                             short_number(times_[fit.gap]) + " s at row " + std::to_string(fit.gap + 1) +
                             " of the data",
                         "Export one trace without a gap; segments go into files of their own"};
        const auto stated = layout_.increment_seconds;
        if (fit.even && stated && std::abs(*stated / fit.increment_seconds - 1.0) < 6.0 * fit.increment_sd + 1e-9) {
            file_.increment_seconds = *stated;
            file_.increment_sd = 0.0;
        }
        if (!fit.even) resample();
        times_.clear();
        times_.shrink_to_fit();
        return {};
    }

    void resample() {
        const std::size_t rows = file_.rows();
        const double start = times_.front();
        file_.start_seconds = start;
        file_.increment_seconds = (times_.back() - start) / static_cast<double>(rows - 1);
        file_.increment_sd = 0.0;
        for (TraceColumn& column : file_.columns) {
            mend(column);
            std::vector<float> even(rows);
            std::size_t right = 1;
            for (std::size_t i = 0; i < rows; ++i) {
                const double t = start + file_.increment_seconds * static_cast<double>(i);
                while (right + 1 < rows && times_[right] < t) ++right;
                const double width = times_[right] - times_[right - 1];
                const double part = width > 0.0 ? std::clamp((t - times_[right - 1]) / width, 0.0, 1.0) : 1.0;
                even[i] = static_cast<float>((1.0 - part) * column.values[right - 1] + part * column.values[right]);
            }
            column.values = std::move(even);
        }
        file_.notices.push_back(
            "The rows are not evenly spaced in time: they were resampled on straight lines, so short dips may be "
            "blurred.");
    }

    // Rows without a value are filled on a straight line, over range with the nearest extreme.
    void mend(TraceColumn& column) {
        std::vector<float>& v = column.values;
        float low = std::numeric_limits<float>::max(), high = -low;
        std::size_t missing = 0, over = 0;
        for (const float x : v) {
            missing += std::isnan(x);
            over += std::isinf(x);
            if (!std::isfinite(x)) continue;
            low = std::min(low, x);
            high = std::max(high, x);
        }
        if (missing + over == 0 || low > high) return;
        for (float& x : v)
            if (std::isinf(x)) x = x > 0.0F ? high : low;
        for (std::size_t i = 0; i < v.size();) {
            if (!std::isnan(v[i])) {
                ++i;
                continue;
            }
            std::size_t end = i;
            while (end < v.size() && std::isnan(v[end])) ++end;
            const double before = i > 0 ? v[i - 1] : end < v.size() ? v[end] : low;
            const double after = end < v.size() ? v[end] : before;
            for (std::size_t k = i; k < end; ++k)
                v[k] = static_cast<float>(before + (after - before) * static_cast<double>(k - i + 1) /
                                                       static_cast<double>(end - i + 1));
            i = end;
        }
        column.missing = missing;
        column.off_screen = over;
        if (missing > 0)
            file_.notices.push_back(column.name + ": " + counted(missing, "row") +
                                    " without a value, filled on a straight line.");
        if (over > 0)
            file_.notices.push_back(
                column.name + ": " + counted(over, "row") +
                " off the scope's screen; the true extremes are unknown. Move or shrink the curve and measure again.");
    }

    void tell_of_footer() {
        std::erase_if(file_.columns, [](const TraceColumn& c) { return !std::isfinite(c.values[0]); });
        if (slips_ > 0)
            file_.notices.push_back(slip_ + (slips_ > 1 ? ", nor is it in " + counted(slips_ - 1, "more row") : "") +
                                    "; taken as a row without a value.");
        if (bad_lines_ > 0)
            file_.notices.push_back("From line " + std::to_string(bad_line_) + " on there are no more samples; " +
                                    counted(bad_lines_, "line") + " left out.");
    }

    std::string path_;
    std::optional<double> given_increment_;
    TraceFile file_;
    TraceLayout layout_;
    bool has_times_ = false;
    std::vector<double> times_, scales_, values_;
    std::vector<std::size_t> fields_;
    std::vector<std::string_view> row_;
    std::size_t slips_ = 0;  ///< rows with a time and a word
    std::string slip_;
    std::size_t bad_lines_ = 0, bad_line_ = 0, lines_of_rows_ = 0;
    Error bad_;
};

}  // namespace

Result<TraceFile> read_trace(const std::string& path, std::optional<double> increment_seconds) {
    return Reader(path, increment_seconds).read();
}

}  // namespace tattletone::scope
