#include "command/arguments/options.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <vector>

#include <CLI/CLI.hpp>

#include "base/files/paths.h"
#include "board/sheet/nearest.h"
#include "command/terminal/console.h"
#include "report/text/columns.h"
#include "report/text/wrap.h"

namespace tattletone::command {
namespace {

std::vector<std::string> known_options(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::Option* option : app.get_options())
        for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
    return names;
}

std::string on_one_line(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

constexpr std::size_t help_column = 26;

// CLI11 does not break lines; those of options are broken behind their column.
std::string within_80_columns(const std::string& help) {
    std::string text;
    for (std::size_t at = 0; at < help.size();) {
        const std::size_t end = std::min(help.find('\n', at), help.size());
        const std::string line = help.substr(at, end - at);
        at = end + 1;
        if (report::display_columns(line) <= 80)
            text += line + '\n';
        else if (line.starts_with("  ") && line.size() > help_column)
            text += report::wrapped(line.substr(help_column), 80, line.substr(0, help_column),
                                    std::string(help_column, ' '));
        else
            text += report::wrapped(line, 80);
    }
    return text;
}

}  // namespace

Option* Option::required() {
    option_.required();
    return this;
}

Option* Option::type_name(const std::string& name) {
    option_.type_name(name);
    return this;
}

Option* Option::repeatable() {
    option_.expected(1)->take_all()->allow_extra_args(false);
    return this;
}

bool Option::given() const {
    return option_.count() > 0;
}

Option* OptionTable::add_option(const std::string& name, std::string& value, const std::string& help) {
    return &declared_.emplace_back(*parser_.add_option(name, value, help));
}

Option* OptionTable::add_option(const std::string& name, std::vector<std::string>& values, const std::string& help) {
    return &declared_.emplace_back(*parser_.add_option(name, values, help));
}

struct Options::Output {
    std::string name;  // as errors call it
    base::OutputFile* file;
    const Option* option;
};

Options::Options(std::string verb, const std::string& summary, const std::string& examples)
    : parser_(std::make_unique<CLI::App>(report::wrapped(on_one_line(summary), 80), "tattletone " + verb)),
      verb_(std::move(verb)),
      app(*parser_) {
    parser_->set_help_flag("--help", "this text");
    parser_->allow_extras();
    parser_->footer("Example:\n" + examples);
    parser_->get_formatter()->column_width(help_column);
}

Options::~Options() = default;

void Options::flag(const std::string& name, bool& value, const std::string& help) {
    parser_->add_flag(name, value, help)->disable_flag_override();
}

Option* Options::output_file(const std::string& name, base::OutputFile& file, base::OutputKind kind,
                             const std::string& help) {
    if (outputs_.empty())
        flag("--overwrite", overwrite_,
             "also replace a file that is not an earlier one of the same kind (never one that this command reads, "
             "nor a logbook)");
    file.kind = kind;
    file.overwrite_can_be_asked = true;
    Option* const option = app.add_option(name, file.path, help);
    outputs_.push_back({name.substr(0, name.find(',')), &file, option});
    return option;
}

void Options::also_reads(std::function<std::string()> path) {
    also_read_.push_back(std::move(path));
}

// What could be a file among the values: "idle.flac", and of "idle=idle.flac" or "94=cal.wav" what stands behind.
std::vector<std::string> Options::named_files() const {
    std::vector<std::string> names;
    for (const CLI::Option* option : parser_->get_options()) {
        if (std::any_of(outputs_.begin(), outputs_.end(),
                        [&](const Output& output) { return &output.option->underlying() == option; }))
            continue;
        for (const std::string& value : option->results()) {
            std::size_t from = 0;
            do {
                const std::string name = value.substr(from);
                std::error_code problem;
                if (!name.empty() && std::filesystem::exists(base::path_of(name), problem) &&
                    !std::filesystem::is_directory(base::path_of(name), problem))
                    names.push_back(name);
                from = value.find_first_of("=:", from);
            } while (from++ != std::string::npos);
        }
    }
    for (const auto& path : also_read_)
        if (std::string name = path(); !name.empty()) names.push_back(std::move(name));
    return names;
}

std::optional<int> Options::judge_outputs() {
    const std::vector<std::string> inputs = named_files();
    const auto one_file = [](const std::string& a, const std::string& b) {
        std::error_code problem;
        if (std::filesystem::is_character_file(base::path_of(a), problem)) return false;
        return base::same_place(a, b);
    };
    for (const Output& output : outputs_) {
        base::OutputFile& file = *output.file;
        if (!output.option->given()) continue;
        if (file.path.empty()) return wrong_usage(output.name, "the name of the file is empty", "");
        for (const Output& other : outputs_) {
            if (&other == &output) break;
            if (!other.file->path.empty() && one_file(other.file->path, file.path))
                return wrong_usage(output.name, "'" + file.path + "' is the file of " + other.name + " too",
                                   "Give two names");
        }
        file.overwrite = overwrite_;
        file.inputs = inputs;
        if (const auto error = base::judge(file)) {
            tell(*error);
            return exit_failed;
        }
    }
    return std::nullopt;
}

std::optional<int> Options::parse(const Arguments& arguments) {
    // For the test that tries every such option; `help` does not show it.
    if (arguments.size() == 1 && arguments[0] == "--list-outputs") {
        std::string list;
        for (const Output& output : outputs_)
            list += output.name + ' ' + std::string(base::words_of(output.file->kind)) + '\n';
        return print(list) ? exit_done : exit_failed;
    }
    try {
        parser_->parse(std::vector<std::string>(arguments.rbegin(), arguments.rend()));
    } catch (const CLI::CallForHelp&) {
        return print(within_80_columns(parser_->help())) ? exit_done : exit_failed;
    } catch (const CLI::ArgumentMismatch& mismatch) {
        // CLI11 begins this text with the option's name; only the name is taken from it.
        const std::string text = mismatch.what();
        const std::string option = text.substr(0, text.find_first_of(": "));
        if (!option.starts_with('-')) return wrong_usage("--" + option, "it takes no value", "");
        const auto given = std::count_if(arguments.begin(), arguments.end(), [&](const std::string& word) {
            return word == option || word.starts_with(option + "=");
        });
        if (given > 1) return wrong_usage(option, "it is given more than once", "Keep one of them");
        return wrong_usage(option, "something is missing behind it", "");
    } catch (const CLI::RequiredError& missing) {
        const std::string text = missing.what();
        return wrong_usage("", text.substr(0, text.find(" is required")) + " is missing", "");
    } catch (const CLI::ParseError&) {
        return wrong_usage("", "the arguments do not fit together", "");
    }
    for (const std::string& extra : parser_->remaining()) {
        if (extra == "--") continue;
        const std::string name = extra.substr(0, extra.find('='));
        const std::string nearest = board::nearest_word(name, known_options(*parser_));
        return wrong_usage("", "'" + extra + "' is not expected here",
                           nearest.empty() ? "" : "Did you mean '" + nearest + "'?");
    }
    // A variable of a script that was not set: the usual file is not what was meant.
    for (const CLI::Option* option : parser_->get_options()) {
        const auto& values = option->results();
        if (option->get_type_name() == "FILE" && std::find(values.begin(), values.end(), "") != values.end())
            return wrong_usage(option->get_name(), "the name of the file is empty",
                               "Give a file, or leave the option out");
    }
    return judge_outputs();
}

int Options::wrong_usage(const std::string& option, const std::string& what, const std::string& todo) const {
    std::string where = verb_;
    if (!option.empty()) where += " " + option;
    std::string advice = todo;
    if (!advice.empty() && advice.back() != '?') advice += '.';
    if (!advice.empty()) advice += ' ';
    tell({where, what, advice + "'tattletone " + verb_ + " --help' shows how it is used"});
    return exit_usage;
}

std::optional<double> Options::number(const std::string& option, const std::string& text, double low,
                                      double high) const {
    char* end = nullptr;
    const double value = std::strtod(text.c_str(), &end);
    if (!text.empty() && *end == '\0' && std::isfinite(value) && value >= low && value <= high) return value;
    char range[80];
    std::snprintf(range, sizeof range, "Give a number from %g to %g", low, high);
    wrong_usage(option, "'" + text + "' is no number that fits here", range);
    return std::nullopt;
}

std::optional<std::pair<std::string, std::string>> split_name_and_file(const std::string& text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == text.size()) return std::nullopt;
    return std::pair{text.substr(0, equals), text.substr(equals + 1)};
}

}  // namespace tattletone::command
