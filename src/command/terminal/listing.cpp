#include "command/terminal/listing.h"

#include <algorithm>
#include <cstdlib>

#include "base/text/json_writer.h"
#include "command/terminal/console.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"

namespace tattletone::command {
namespace {

std::string csv_cell(const std::string& value) {
    const std::string clean = base::printable_lines(value);
    if (clean.find_first_of("\",\r\n") == std::string::npos) return clean;
    std::string quoted = "\"";
    for (const char c : clean) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + '"';
}

}  // namespace

void declare_output(Options& options, OutputOptions& chosen) {
    options.flag("--json", chosen.json, "as one line of JSON");
    options.flag("--csv", chosen.csv, "as CSV with a line of titles");
}

std::string listing_text(const Listing& listing, int columns) {
    if (listing.rows.empty()) return report::wrapped(listing.if_empty, columns);
    std::vector<std::size_t> shown;
    for (std::size_t i = 0; i < listing.columns.size(); ++i)
        if (!listing.columns[i].title.empty()) shown.push_back(i);
    std::vector<int> width(listing.columns.size(), 0);
    for (const std::size_t i : shown) {
        width[i] = report::display_columns(listing.columns[i].title);
        for (const auto& row : listing.rows)
            width[i] = std::max(width[i], report::display_columns(base::printable(row[i])));
    }
    int before_last = 0;
    for (const std::size_t i : shown)
        if (i != shown.back()) before_last += width[i] + 2;
    std::string text;
    const auto line = [&](auto cell) {
        std::string left;
        for (const std::size_t i : shown)
            if (i != shown.back())
                left += (listing.columns[i].is_number ? report::right_in(cell(i), width[i])
                                                      : report::left_in(cell(i), width[i])) +
                        "  ";
        const std::size_t last = shown.back();
        // The last column holds sentences: it is broken, and gets a line of its own where too little is left.
        if (columns - before_last < 24 && before_last > 0) {
            while (!left.empty() && left.back() == ' ') left.pop_back();
            text += left + '\n';
            if (!cell(last).empty()) text += report::wrapped(cell(last), columns, "    ", "    ");
        } else if (listing.columns[last].is_number) {
            text += left + report::right_in(cell(last), width[last]) + '\n';
        } else if (cell(last).empty()) {
            while (!left.empty() && left.back() == ' ') left.pop_back();
            text += left + '\n';
        } else {
            text += report::wrapped(cell(last), columns, left, std::string(static_cast<std::size_t>(before_last), ' '));
        }
    };
    line([&](std::size_t i) { return listing.columns[i].title; });
    for (const auto& row : listing.rows) line([&](std::size_t i) { return base::printable(row[i]); });
    return text;
}

std::string listing_csv(const Listing& listing) {
    std::string text;
    for (std::size_t i = 0; i < listing.columns.size(); ++i)
        text += (i == 0 ? "" : ",") + csv_cell(listing.columns[i].key);
    text += "\r\n";
    for (const auto& row : listing.rows) {
        for (std::size_t i = 0; i < row.size(); ++i) text += (i == 0 ? "" : ",") + csv_cell(row[i]);
        text += "\r\n";
    }
    return text;
}

std::string listing_json(const Listing& listing) {
    base::JsonWriter json;
    json.open('{').key("format").text(listing.format);
    json.key(listing.key).open('[');
    for (const auto& row : listing.rows) {
        json.open('{');
        for (std::size_t i = 0; i < row.size(); ++i) {
            json.key(listing.columns[i].key);
            if (!listing.columns[i].is_number) {
                json.text_or_null(row[i]);
            } else if (row[i].empty()) {
                json.null();
            } else {
                const std::size_t point = row[i].find('.');
                json.whole_or_real(std::strtod(row[i].c_str(), nullptr),
                                   point == std::string::npos ? 1 : static_cast<int>(row[i].size() - point - 1));
            }
        }
        json.close('}');
    }
    return json.close(']').close('}').str() + '\n';
}

int show(const Listing& listing, const OutputOptions& chosen) {
    const int columns = std::min(terminal_of(Stream::out).columns, 100);
    return print(chosen.json  ? listing_json(listing)
                 : chosen.csv ? listing_csv(listing)
                              : listing_text(listing, columns))
               ? exit_done
               : exit_failed;
}

}  // namespace tattletone::command
