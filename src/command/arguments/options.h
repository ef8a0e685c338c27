#pragma once

#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/files/output_file.h"
#include "base/result.h"
#include "command/verbs/verb.h"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace tattletone::command {

/// One option while it is declared; what is said of it can be strung together.
class Option {
  public:
    explicit Option(CLI::Option& option) : option_(option) {}

    Option* required();
    /// What the help calls its value; empty where the name says it all.
    Option* type_name(const std::string& name);
    /// May come several times, each time with one value.
    Option* repeatable();
    bool given() const;
    const CLI::Option& underlying() const { return option_; }

  private:
    CLI::Option& option_;
};

/// Declares options. CLI11 stays in options.cpp: its header takes longer to compile than any file here.
class OptionTable {
  public:
    explicit OptionTable(CLI::App& parser) : parser_(parser) {}

    Option* add_option(const std::string& name, std::string& value, const std::string& help);
    Option* add_option(const std::string& name, std::vector<std::string>& values, const std::string& help);

  private:
    CLI::App& parser_;
    std::deque<Option> declared_;
};

/// A command line of one verb, on CLI11. Declare with `flag` and `app.add_option` (values as
/// strings or lists of strings; numbers through `number` below), then call `parse`.
///
///     Options options("listen", "Live in the terminal …", "tattletone listen --board heron.toml");
///     options.app.add_option("--board", sheet, "the board sheet")->type_name("SHEET");
///     if (const auto status = options.parse(arguments)) return *status;
class Options {
  public:
    Options(std::string verb, const std::string& summary, const std::string& examples);
    ~Options();

    /// A switch without a value.
    void flag(const std::string& name, bool& value, const std::string& help);

    /// An option (or, without dashes, an argument) that names a file to write: the only way in which a verb gets
    /// an OutputFile, and with the first of them --overwrite. `parse` judges the place and tells what stands
    /// there; what the other options and arguments name counts as read by the command.
    Option* output_file(const std::string& name, base::OutputFile& file, base::OutputKind kind,
                        const std::string& help);

    /// A file or folder that the command reads without its being named by an option, as the usual logbook.
    void also_reads(std::function<std::string()> path);

    /// Empty: go on. Else the status to return at once: help was printed, or an error was told.
    std::optional<int> parse(const Arguments& arguments);

    /// Tells a usage error of this verb; returns exit_usage.
    int wrong_usage(const std::string& option, const std::string& what, const std::string& todo) const;

    /// A finite number within low … high. Anything else is told as wrong usage and gives nothing.
    std::optional<double> number(const std::string& option, const std::string& text, double low, double high) const;

  private:
    struct Output;
    std::optional<int> judge_outputs();
    std::vector<std::string> named_files() const;

    std::unique_ptr<CLI::App> parser_;
    std::string verb_;
    std::vector<Output> outputs_;
    std::vector<std::function<std::string()>> also_read_;
    bool overwrite_ = false;

  public:
    OptionTable app;
};

/// "NAME=FILE" in two. Nothing when either side is missing.
std::optional<std::pair<std::string, std::string>> split_name_and_file(const std::string& text);

}  // namespace tattletone::command
