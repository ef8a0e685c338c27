#pragma once

#include <optional>
#include <string>
#include <utility>

#include <CLI/CLI.hpp>

#include "command/verb.h"
#include "result.h"

namespace tattletone {

/// A command line of one verb, on CLI11. Declare with `flag` and `app.add_option` (values as
/// strings or lists of strings; numbers through `number` below), then call `parse`.
///
///     Options options("listen", "Live in the terminal …", "tattletone listen --board heron.toml");
///     options.app.add_option("--board", sheet, "the board sheet")->type_name("SHEET");
///     if (const auto status = options.parse(arguments)) return *status;
class Options {
  public:
    Options(std::string verb, const std::string& summary, const std::string& examples);

    /// A switch without a value.
    void flag(const std::string& name, bool& value, const std::string& help);

    /// Empty: go on. Else the status to return at once: help was printed, or wrong usage was told.
    std::optional<int> parse(const Arguments& arguments);

    /// Tells a usage error of this verb; returns exit_usage.
    int wrong_usage(const std::string& option, const std::string& what,
                    const std::string& todo) const;

    /// A finite number within low … high. Anything else is told as wrong usage and gives nothing.
    std::optional<double> number(const std::string& option, const std::string& text, double low,
                                 double high) const;

    CLI::App app;

  private:
    std::string verb_;
};

/// "NAME=FILE" in two. Nothing when either side is missing.
std::optional<std::pair<std::string, std::string>> split_name_and_file(const std::string& text);

}  // namespace tattletone
