#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <optional>
#include <sstream>

#include "base/files/output_kind.h"
#include "base/files/paths.h"
#include "base/text/number.h"
#include "base/text/printable.h"
#include "toggle/plan/plan.h"

namespace tattletone::toggle {
namespace {

constexpr std::size_t most_bytes = 1 << 20;
constexpr const char* draw_again = "Give the table as 'tattletone toggle --csv' wrote it";

std::vector<std::string> fields_of(const std::string& line) {
    std::vector<std::string> fields(1);
    for (const char c : line)
        if (c == ',')
            fields.emplace_back();
        else if (c != '\r' && c != '"' && c != ' ')
            fields.back() += c;
    return fields;
}

std::optional<double> seconds_in(const std::string& text) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return {};
    return value;
}

// An identifier of C for a part.
std::string c_name(const std::string& part) {
    std::string name = "TOGGLE_";
    for (const char c : part) {
        const bool lower = c >= 'a' && c <= 'z', other = (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        name += lower ? static_cast<char>(c - 'a' + 'A') : other ? c : '_';
    }
    return name;
}

std::string without_comment_end(const std::string& text) {
    std::string safe;
    for (const char c : base::printable(text)) {
        if (c == '/' && !safe.empty() && safe.back() == '*') safe += ' ';
        if (c == '*' && !safe.empty() && safe.back() == '/') safe += ' ';
        safe += c == '\\' || c == '?' ? '.' : c;
    }
    return safe;
}

}  // namespace

std::string plan_csv(const Plan& plan) {
    std::string csv = "seconds";
    for (const std::string& part : plan.parts) csv += "," + part;
    csv += "\n";
    for (std::size_t i = 0; i < plan.steps(); ++i) {
        csv += base::trimmed(static_cast<double>(i) * plan.step_seconds, 6);
        for (const Column& column : plan.columns) csv += column[i] != 0 ? ",1" : ",0";
        csv += "\n";
    }
    return csv;
}

Result<Plan> plan_of_csv(const std::string& text, const std::string& path) {
    std::istringstream lines(text);
    std::string line;
    Plan plan;
    std::vector<double> seconds;
    for (std::size_t number = 1; std::getline(lines, line); ++number) {
        const auto fields = fields_of(line);
        if (fields.size() == 1 && fields[0].empty()) continue;
        const std::string where = path + ":" + std::to_string(number);
        if (plan.parts.empty()) {
            if (fields[0] != "seconds" || fields.size() < 2 || fields.size() > most_parts + 1)
                return Error{where, "this is no toggle plan: it does not begin with 'seconds' and 1 to 8 parts",
                             draw_again};
            plan.parts.assign(fields.begin() + 1, fields.end());
            for (std::size_t i = 0; i < plan.parts.size(); ++i)
                if (std::find(plan.parts.begin() + static_cast<std::ptrdiff_t>(i) + 1, plan.parts.end(),
                              plan.parts[i]) != plan.parts.end())
                    return Error{where, "the part '" + base::briefly(plan.parts[i]) + "' is named twice", draw_again};
            plan.columns.resize(plan.parts.size());
            continue;
        }
        const auto at = seconds_in(fields[0]);
        if (!at || fields.size() != plan.parts.size() + 1)
            return Error{where,
                         "this is no row of the plan: seconds and " + std::to_string(plan.parts.size()) + " of 0 or 1",
                         draw_again};
        seconds.push_back(*at);
        for (std::size_t i = 0; i < plan.parts.size(); ++i) {
            if (fields[i + 1] != "0" && fields[i + 1] != "1")
                return Error{where, "'" + base::briefly(fields[i + 1]) + "' is neither 0 nor 1", draw_again};
            plan.columns[i].push_back(fields[i + 1] == "1");
        }
        if (seconds.size() > most_steps)
            return Error{where, "the plan has more than " + std::to_string(most_steps) + " steps", draw_again};
    }
    if (seconds.size() < 2) return Error{path, "this toggle plan has no steps", draw_again};
    plan.step_seconds = (seconds.back() - seconds.front()) / static_cast<double>(seconds.size() - 1);
    for (std::size_t i = 0; i < seconds.size(); ++i)
        if (plan.step_seconds < 1e-3 ||
            std::abs(seconds[i] - seconds[0] - plan.step_seconds * static_cast<double>(i)) > 1e-3)
            return Error{path, "the steps of this plan are not all of one length", draw_again};
    bool drawn = true;
    for (std::size_t i = 0; i < plan.columns.size(); ++i) {
        drawn = drawn && acceptable(plan.columns[i]);
        for (std::size_t j = 0; j < i; ++j) drawn = drawn && acceptable(plan.columns[i], plan.columns[j]);
    }
    if (!drawn || plan.steps() < fewest_steps(plan.parts.size()))
        return Error{
            path,
            "'tattletone toggle' would not have drawn this plan, so no exact probability can be given: a row is "
            "missing or was changed, or it is of another origin",
            draw_again};
    return plan;
}

Result<Plan> read_plan(const std::string& path) {
    std::ifstream file(base::path_of(path), std::ios::binary);
    if (!file) return Error{path, "the toggle plan cannot be opened", "Check the name and whether it may be read"};
    std::string text(most_bytes + 1, '\0');
    file.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(file.gcount()));
    if (text.size() > most_bytes) return Error{path, "this is too large for a toggle plan", draw_again};
    return plan_of_csv(text, path);
}

std::string plan_c(const Plan& plan, const std::string& board, std::uint64_t seed) {
    const long milliseconds = std::lround(plan.step_seconds * 1000.0);
    std::string c = base::c_mark(base::OutputKind::toggle_header) + "/* Toggle plan of " + without_comment_end(board) +
                    ", drawn by tattletone toggle with seed " + std::to_string(seed) +
                    ".\n * C99 and C++, no library needed. Around it, for instance:\n *\n"
                    " *     #include \"plan.h\"\n"
                    " *     static volatile unsigned toggle_step;\n"
                    " *\n"
                    " *     void every_" +
                    std::to_string(milliseconds) +
                    "_ms(void)     (a timer's interrupt)\n"
                    " *     {\n"
                    " *         unsigned on = toggle_at(toggle_step++);\n";
    for (std::size_t i = 0; i < plan.parts.size(); ++i)
        c += " *         switch_" + without_comment_end(plan.parts[i]) + "((on & " + c_name(plan.parts[i]) +
             ") != 0);\n";
    c += " *     }\n *\n"
         " * It begins anew when it is through: record " +
         base::trimmed(std::ceil(plan.seconds()), 0) +
         " s or a little more at any moment. Let the timer\n"
         " * run through; what follows the plan is told from the rest by its order alone. */\n"
         "#ifndef TATTLETONE_TOGGLE_PLAN\n#define TATTLETONE_TOGGLE_PLAN\n\n";
    c += "#define TOGGLE_STEPS " + std::to_string(plan.steps()) + "u\n";
    c += "#define TOGGLE_STEP_MS " + std::to_string(milliseconds) + "u\n";
    std::vector<std::string> names;
    for (std::size_t i = 0; i < plan.parts.size(); ++i) {
        std::string name = c_name(plan.parts[i]);
        while (std::find(names.begin(), names.end(), name) != names.end() || name == "TOGGLE_STEPS" ||
               name == "TOGGLE_STEP_MS")
            name += "_";
        names.push_back(name);
        c += "#define " + name + " " + std::to_string(1u << i) + "u\n";
    }
    c += "\n/* The parts that are on in a step, a bit each. */\n"
         "static inline unsigned toggle_at(unsigned step)\n{\n    static const unsigned char plan[TOGGLE_STEPS] = {";
    for (std::size_t i = 0; i < plan.steps(); ++i) {
        unsigned bits = 0;
        for (std::size_t part = 0; part < plan.parts.size(); ++part)
            bits |= static_cast<unsigned>(plan.columns[part][i]) << part;
        c += (i % 16 == 0 ? "\n        " : " ") + std::to_string(bits) + (i + 1 < plan.steps() ? "," : "");
    }
    c += "\n    };\n    return plan[step % TOGGLE_STEPS];\n}\n\n#endif\n";
    return c;
}

}  // namespace tattletone::toggle
