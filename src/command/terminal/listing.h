#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "command/arguments/options.h"

namespace tattletone::command {

/// How a list is wanted: for a reader, as one line of JSON, or as CSV (RFC 4180, UTF-8; line breaks stay
/// within a field, all else is as `printable` shows it).
struct OutputOptions {
    bool json = false, csv = false;
};
void declare_output(Options& options, OutputOptions& chosen);

/// Rows with named columns. In text the title stands over the column; an empty title leaves the column
/// out of the text. Numbers are written as they are and right-aligned; empty ones are null in JSON.
struct Listing {
    struct Column {
        std::string key, title;
        bool is_number = false;
    };
    std::string format;  ///< "tattletone units 1"
    std::string key;     ///< of the list in the JSON: "units"
    std::vector<Column> columns;
    std::vector<std::vector<std::string>> rows;
    std::string if_empty;  ///< a sentence
};
std::string listing_text(const Listing& listing, int columns);
std::string listing_csv(const Listing& listing);
std::string listing_json(const Listing& listing);

/// Prints as wished; returns the exit status.
int show(const Listing& listing, const OutputOptions& chosen);

}  // namespace tattletone::command
