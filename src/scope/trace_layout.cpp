#include "scope/trace_layout.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "base/text/lower_case.h"

namespace tattletone::scope {
namespace {

// A word among `values_a_word` values of a column is a slip.
constexpr std::size_t judged_lines = 200, last_lines = 10, values_a_word = 8;

bool contains(const std::string& text, std::initializer_list<const char*> words) {
    return std::any_of(words.begin(), words.end(),
                       [&](const char* word) { return text.find(word) != std::string::npos; });
}

bool is_one_of(const std::string& text, std::initializer_list<const char*> words) {
    return std::find(words.begin(), words.end(), text) != words.end();
}

bool is_remark(std::string_view line) {
    line = trimmed_field(line);
    return line.empty() || line[0] == '#' || line[0] == '%';
}

struct Tally {
    long numbers = 0, texts = 0;
};

Tally tally(const std::vector<std::string>& lines, TraceRow row) {
    Tally sum;
    std::vector<std::string_view> fields;
    for (std::size_t i = lines.size() - std::min(lines.size(), judged_lines); i < lines.size(); ++i) {
        if (is_remark(lines[i])) continue;
        split_row(lines[i], row.separator, fields);
        for (const std::string_view field : fields) {
            const FieldKind kind = read_field(field, row.decimal).kind;
            sum.numbers += kind == FieldKind::number || kind == FieldKind::over_range;
            sum.texts += kind == FieldKind::text;
        }
    }
    return sum;
}

// "1,052" line after line may be one column with decimal commas or two columns of whole numbers: a second
// field that starts with 0 tells.
bool is_one_column_with_commas(const std::vector<std::string>& lines) {
    bool zero_first = false;
    std::vector<std::string_view> fields;
    for (std::size_t i = lines.size() - std::min(lines.size(), judged_lines / 2); i < lines.size(); ++i) {
        split_row(lines[i], ',', fields);
        if (fields.size() != 2 || read_field(fields[0], '.').kind != FieldKind::number) continue;
        if (fields[1].empty() || fields[1].find_first_not_of("0123456789") != std::string_view::npos) return false;
        zero_first = zero_first || (fields[1].size() > 1 && fields[1][0] == '0');
    }
    return zero_first;
}

TraceRow row_of(const std::vector<std::string>& lines) {
    TraceRow best;
    long most = std::numeric_limits<long>::min();
    for (const char separator : {'\t', ';', ',', ' '})
        for (const char decimal : {'.', ','}) {
            if (separator == decimal) continue;
            const Tally sum = tally(lines, {separator, decimal});
            if (sum.numbers - sum.texts <= most) continue;
            most = sum.numbers - sum.texts;
            best = {separator, decimal};
        }
    if (best.separator == ',' && is_one_column_with_commas(lines)) return {';', ','};
    return best;
}

class Finder {
  public:
    explicit Finder(const std::vector<std::string>& lines) : lines_(lines) { found_.row = row_of(lines); }

    std::optional<TraceLayout> find() {
        find_columns();
        if (found_.columns.empty() || !find_first_line()) return {};
        found_.names.resize(found_.columns.size());
        found_.units.resize(found_.columns.size());
        read_settings();
        read_names();
        drop_settings_columns();
        if (found_.columns.empty()) return {};
        find_time();
        return std::move(found_);
    }

  private:
    using Fields = std::vector<std::string_view>;

    Fields fields_of(std::string_view line) const {
        Fields fields;
        line = trimmed_field(line);
        while (!line.empty() && (line[0] == '#' || line[0] == '%')) line = trimmed_field(line.substr(1));
        split_row(line, found_.row.separator, fields);
        for (std::string_view& field : fields) field = trimmed_field(field);
        if (found_.row.separator != ' ') return fields;
        // A unit in brackets belongs to the name before it.
        Fields joined;
        for (const std::string_view field : fields) {
            if (!joined.empty() && !field.empty() && (field[0] == '(' || field[0] == '['))
                joined.back() = {joined.back().data(),
                                 static_cast<std::size_t>(field.data() + field.size() - joined.back().data())};
            else
                joined.push_back(field);
        }
        return joined;
    }

    FieldKind kind_of(std::string_view field) const { return read_field(field, found_.row.decimal).kind; }
    static bool is_value(FieldKind kind) { return kind == FieldKind::number || kind == FieldKind::over_range; }

    void find_columns() {
        std::vector<std::size_t> values, texts;
        std::size_t judged = 0;
        Fields fields;
        for (std::size_t i = lines_.size(); i-- > 0 && judged < last_lines;) {
            if (is_remark(lines_[i])) continue;
            split_row(lines_[i], found_.row.separator, fields);
            if (std::none_of(fields.begin(), fields.end(), [&](auto f) { return is_value(kind_of(f)); })) continue;
            // The header of a short file does not count.
            if (judged > 0 && !trimmed_field(fields[0]).empty() && kind_of(fields[0]) == FieldKind::text &&
                (texts.empty() || texts[0] == 0))
                break;
            ++judged;
            values.resize(std::max(values.size(), fields.size()), 0);
            texts.resize(values.size(), 0);
            for (std::size_t k = 0; k < fields.size(); ++k) {
                values[k] += is_value(kind_of(fields[k]));
                texts[k] += kind_of(fields[k]) == FieldKind::text;
            }
        }
        for (std::size_t k = 0; k < values.size(); ++k)
            if (values[k] > 0 && texts[k] * values_a_word <= values[k]) found_.columns.push_back(k);
    }

    bool is_data(std::string_view line) const {
        Fields fields;
        split_row(line, found_.row.separator, fields);
        if (fields.size() <= found_.columns.back() && fields.size() <= found_.columns.size() / 2) return false;
        bool any = false;
        for (const std::size_t column : found_.columns) {
            if (column >= fields.size()) continue;
            const FieldKind kind = kind_of(fields[column]);
            if (kind == FieldKind::text) return false;
            any = any || is_value(kind);
        }
        return any;
    }

    // A broken row below rows of data; a header has no number in the first column.
    bool is_slip(std::size_t line) const {
        std::size_t before = 0;
        for (std::size_t i = line; i-- > 0 && before < 3 && (is_remark(lines_[i]) || is_data(lines_[i]));)
            before += !is_remark(lines_[i]);
        Fields fields;
        split_row(lines_[line], found_.row.separator, fields);
        return before > (found_.columns[0] + 1 < fields.size() && is_value(kind_of(fields[found_.columns[0]])) ? 0 : 2);
    }

    bool find_first_line() {
        std::size_t last = lines_.size(), rows = 0;
        while (last > 0 && (is_remark(lines_[last - 1]) || !is_data(lines_[last - 1]))) --last;
        found_.first_line = last;
        for (std::size_t i = last; i-- > 0;) {
            if (is_remark(lines_[i])) continue;
            const bool data = is_data(lines_[i]);
            if (!data && !is_slip(i)) break;
            if (data) found_.first_line = i;
            rows += data;
        }
        return rows >= 2;
    }

    // "Sample interval,4e-7", "Sample rate: 2.5 MHz", also in columns to the left of the data.
    void read_settings() {
        const std::size_t left = found_.columns.front();
        for (std::size_t i = 0; i < lines_.size() && (i < found_.first_line || left >= 2); ++i) {
            Fields fields = fields_of(lines_[i]);
            if (i >= found_.first_line) fields.resize(std::min(fields.size(), left));
            for (const char mark : {':', '=', ',', ';'}) {
                if (fields.empty() || (fields.size() > 1 && (mark == ',' || mark == ';'))) break;
                const auto at = fields[0].find(mark);
                if (at == std::string_view::npos) continue;
                const std::string_view whole = fields[0];
                fields[0] = trimmed_field(whole.substr(0, at));
                if (const auto value = trimmed_field(whole.substr(at + 1)); !value.empty())
                    fields.insert(fields.begin() + 1, value);
            }
            if (fields.size() < 2) continue;
            if (take_setting(fields[0], fields[1], fields.size() > 2 ? fields[2] : std::string_view()))
                settings_.push_back(i);
        }
    }

    bool take_setting(std::string_view key, std::string_view value, std::string_view unit_text) {
        const std::string name = base::lower_case(key);
        const bool vertical =
            name.starts_with("y") || contains(name, {"vert", "volt", "trigger", "holdoff", "hold-off"});
        if (contains(name, {"unit"})) {
            const auto unit = read_unit(value);
            if (unit && unit->base == "s") time_unit_ = unit;
            if (unit && unit->base != "s") value_unit_ = unit;
            return unit.has_value();
        }
        const bool rate = contains(
            name, {"sample rate", "sampling rate", "samplerate", "sample freq", "sampling freq", "samples per second"});
        const bool increment =
            contains(name, {"incr", "interval", "sample period", "sampling period", "time step", "delta t"}) ||
            is_one_of(name, {"dt", "delta", "x inc", "xinc"});
        const bool start = contains(name, {"start", "origin", "first"}) || is_one_of(name, {"x zero", "xzero", "t0"});
        if (vertical || (!rate && !increment && !start)) return false;
        // "2.5 MHz" in one field has its unit cut off first.
        const auto letters = value.find_first_of("kMGHS");
        const std::string_view tail = rate && letters != std::string_view::npos ? value.substr(letters) : unit_text;
        const Field number = read_field(rate && letters != std::string_view::npos ? value.substr(0, letters) : value,
                                        found_.row.decimal);
        if (number.kind != FieldKind::number) return false;
        if (rate) {
            const char prefix = tail.empty() ? '1' : trimmed_field(tail).empty() ? '1' : trimmed_field(tail)[0];
            const double hz = number.value * (prefix == 'k' ? 1e3 : prefix == 'M' ? 1e6 : prefix == 'G' ? 1e9 : 1.0);
            if (hz > 0.0 && !found_.increment_seconds) found_.increment_seconds = 1.0 / hz;
            return true;
        }
        auto unit = read_unit(unit_text);
        if (!unit) unit = unit_in(key).second;
        const double scale = unit && unit->base == "s" ? unit->scale : 1.0;
        if (increment && number.value > 0.0) found_.increment_seconds = scale * number.value;
        if (start) found_.start_seconds = scale * number.value;
        return true;
    }

    // "CH1 (mV)", "CH1 [mV]", "CH1/mV", "CH1_mV", "CH1 in mV": the name and its unit.
    static std::pair<std::string, std::optional<ScaledUnit>> unit_in(std::string_view text) {
        text = trimmed_field(text);
        const auto at = text.find_last_of(" ([/_,");
        if (at == std::string_view::npos || at == 0) return {std::string(text), {}};
        const auto unit = read_unit(text.substr(at + 1));
        if (!unit) return {std::string(text), {}};
        std::string_view name = trimmed_field(text.substr(0, at));
        while (!name.empty() && std::string_view("([/_,").find(name.back()) != std::string_view::npos)
            name.remove_suffix(1);
        name = trimmed_field(name);
        if (name.ends_with(" in")) name.remove_suffix(3);
        return {std::string(trimmed_field(name)), unit};
    }

    bool takes_units(const Fields& fields) {
        std::vector<std::optional<ScaledUnit>> units(found_.columns.size());
        bool any = false;
        for (std::size_t k = 0; k < found_.columns.size(); ++k) {
            if (found_.columns[k] >= fields.size() || fields[found_.columns[k]].empty()) continue;
            const std::string_view field = fields[found_.columns[k]];
            units[k] = read_unit(field);
            if (!units[k] && !is_one_of(base::lower_case(field), {"sequence", "sample", "index", "-"})) return false;
            any = any || units[k];
        }
        if (any)
            for (std::size_t k = 0; k < units.size(); ++k)
                if (!found_.units[k]) found_.units[k] = units[k];
        return any;
    }

    bool takes_names(Fields fields) {
        if (fields.size() == 2 * found_.columns.size()) {
            bool pairs = true;
            for (std::size_t k = 1; k < fields.size(); k += 2) pairs = pairs && read_unit(fields[k]);
            for (std::size_t k = 0; pairs && k < found_.columns.size(); ++k) {
                found_.names[k] = std::string(fields[2 * k]);
                found_.units[k] = read_unit(fields[2 * k + 1]);
            }
            if (pairs) return true;
        }
        std::size_t texts = 0;
        for (const std::size_t column : found_.columns) {
            if (column >= fields.size() || fields[column].empty()) continue;
            if (kind_of(fields[column]) != FieldKind::text) return false;
            ++texts;
        }
        if (2 * texts < found_.columns.size() || texts == 0) return false;
        for (std::size_t k = 0; k < found_.columns.size(); ++k) {
            if (found_.columns[k] >= fields.size()) continue;
            auto [name, unit] = unit_in(fields[found_.columns[k]]);
            found_.names[k] = name;
            if (unit) found_.units[k] = unit;
        }
        // Settings in further columns, their values in the row below.
        for (std::size_t row = names_line_ + 1; row <= std::min(found_.first_line, names_line_ + 2); ++row) {
            const Fields below = fields_of(lines_[row]);
            for (std::size_t k = 0; k < std::min(fields.size(), below.size()); ++k)
                if (std::find(found_.columns.begin(), found_.columns.end(), k) == found_.columns.end() ||
                    is_setting(fields[k]))
                    take_setting(fields[k], below[k], "");
        }
        return true;
    }

    void read_names() {
        for (std::size_t i = found_.first_line; i-- > 0 && i + 4 > found_.first_line;) {
            if (std::find(settings_.begin(), settings_.end(), i) != settings_.end()) continue;
            const Fields fields = fields_of(lines_[i]);
            if (std::all_of(fields.begin(), fields.end(), [](auto f) { return f.empty(); })) continue;
            if (takes_units(fields)) continue;
            names_line_ = i;
            if (takes_names(fields)) break;
        }
        for (std::size_t k = 0; k < found_.columns.size(); ++k)
            if (!found_.units[k] && value_unit_ && !looks_like_time(k)) found_.units[k] = value_unit_;
    }

    static bool is_setting(std::string_view name) {
        const std::string low = base::lower_case(name);
        return is_one_of(low, {"start", "increment", "interval"}) || contains(low, {"increment"});
    }

    void drop_settings_columns() {
        for (std::size_t k = found_.columns.size(); k-- > 0;) {
            if (!is_setting(found_.names[k])) continue;
            const auto at = static_cast<std::ptrdiff_t>(k);
            found_.columns.erase(found_.columns.begin() + at);
            found_.names.erase(found_.names.begin() + at);
            found_.units.erase(found_.units.begin() + at);
        }
    }

    bool looks_like_time(std::size_t k) const {
        const std::string name = base::lower_case(found_.names[k]);
        return (found_.units[k] && found_.units[k]->base == "s") || name.starts_with("time") ||
               is_one_of(name, {"t", "x", "x-axis", "seconds", "second", "s"});
    }

    std::vector<double> values_of(std::size_t column) const {
        std::vector<double> values;
        Fields fields;
        for (std::size_t i = found_.first_line; i < lines_.size(); ++i) {
            split_row(lines_[i], found_.row.separator, fields);
            if (found_.columns[column] >= fields.size()) continue;
            const Field field = read_field(fields[found_.columns[column]], found_.row.decimal);
            if (field.kind == FieldKind::number) values.push_back(field.value);
        }
        return values;
    }

    bool counts_rows(std::size_t column) const {
        const std::vector<double> values = values_of(column);
        bool counts = values.size() > 1 && std::floor(values[0]) == values[0] && !found_.units[column];
        for (std::size_t i = 1; i < values.size(); ++i) counts = counts && values[i] - values[i - 1] == 1.0;
        return counts;
    }

    bool named_index(std::size_t column) const {
        return is_one_of(base::lower_case(found_.names[column]), {"sample", "samples", "index", "point", "points", "no",
                                                                  "no.", "n", "nr", "sequence", "#", "i"});
    }

    void find_time() {
        const std::size_t count = found_.columns.size();
        for (std::size_t k = 0; k < count && found_.time < 0; ++k)
            if (looks_like_time(k)) found_.time = static_cast<int>(k);
        for (std::size_t k = 0; k < count && found_.index < 0; ++k) {
            const bool as_time = static_cast<int>(k) == found_.time;
            if (as_time ? !found_.increment_seconds : !(named_index(k) || (k == 0 && count > 1))) continue;
            if (!counts_rows(k)) continue;
            found_.index = static_cast<int>(k);
            if (as_time) found_.time = -1;
        }
        if (found_.time < 0 && found_.index < 0 && count > 1 && !found_.units[0]) {
            const std::vector<double> values = values_of(0);
            const bool rises =
                values.size() > 1 && std::is_sorted(values.begin(), values.end()) && values.back() > values.front();
            const double step = rises ? (values.back() - values.front()) / static_cast<double>(values.size() - 1) : 0.0;
            if (rises && (!found_.increment_seconds || std::abs(step / *found_.increment_seconds - 1.0) < 0.05))
                found_.time = 0;
        }
        if (found_.time >= 0 && !found_.units[static_cast<std::size_t>(found_.time)])
            found_.units[static_cast<std::size_t>(found_.time)] = time_unit_;
    }

    const std::vector<std::string>& lines_;
    TraceLayout found_;
    std::size_t names_line_ = 0;
    std::vector<std::size_t> settings_;  ///< lines that hold one
    std::optional<ScaledUnit> time_unit_, value_unit_;
};

}  // namespace

std::optional<TraceLayout> layout_of(const std::vector<std::string>& lines) {
    return Finder(lines).find();
}

}  // namespace tattletone::scope
