// The documents of the mathematics name functions and numbers of the code: here every name in
// backticks, every name of several words in a formula, and every `name = value`, has to be in src,
// every path in the tree.

#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace fs = std::filesystem;

namespace {

const fs::path root = TATTLETONE_SOURCE_DIR;

const std::regex definition(R"((\w+) = (-?[0-9][0-9.]*(?:e-?[0-9]+|[a-zA-Z]\w*)?))");
const std::regex word(R"([A-Za-z]\w*)");
const std::regex of_several_words("[a-z]{2,}(?:_[a-z]{2,}\\w*)+");

std::string text_of(const fs::path& path) {
    std::ifstream file(path);
    return {std::istreambuf_iterator<char>(file), {}};
}

struct Code {
    std::set<std::string> words, values;

    void add(const std::string& line) {
        const std::string code = line.substr(0, line.find("//"));
        for (std::sregex_iterator at(code.begin(), code.end(), word), end; at != end; ++at) words.insert(at->str());
        for (std::sregex_iterator at(code.begin(), code.end(), definition), end; at != end; ++at)
            values.insert(at->str());
    }
};

Code code_of_src() {
    Code code;
    for (const auto& entry : fs::recursive_directory_iterator(root / "src")) {
        const std::string extension = entry.path().extension().string();
        if (extension != ".h" && extension != ".cpp" && extension != ".inc") continue;
        std::ifstream file(entry.path());
        for (std::string line; std::getline(file, line);) code.add(line);
    }
    return code;
}

bool in_tree(const std::string& path) {
    return fs::exists(root / path) || fs::exists(root / "src" / path) || fs::exists(root / (path + ".cpp"));
}

/// `formula`: symbols are no names there, so only names of several words count.
void judge(const Code& code, const std::string& text, bool formula, std::set<std::string>& unknown) {
    for (std::sregex_iterator at(text.begin(), text.end(), definition), end; at != end; ++at) {
        const std::string name = (*at)[1];
        if ((formula ? std::regex_match(name, of_several_words) : name.size() > 3) && code.values.count(at->str()) == 0)
            unknown.insert(at->str());
    }
    for (std::sregex_iterator at(text.begin(), text.end(), word), end; at != end; ++at)
        if (!formula || std::regex_match(at->str(), of_several_words))
            if (code.words.count(at->str()) == 0) unknown.insert(at->str());
}

/// What a document names and the tree does not have.
std::set<std::string> unknown_in(const std::string& document, const Code& code) {
    static const std::regex quoted("`([^`]+)`");
    std::set<std::string> unknown;
    for (std::size_t begin = 0, piece = 0; begin < document.size(); ++piece) {
        const std::size_t fence = std::min(document.find("```", begin), document.size());
        const std::string text = document.substr(begin, fence - begin);
        begin = fence + 3;
        if (piece % 2 == 1) {
            judge(code, text, true, unknown);
            continue;
        }
        for (std::sregex_iterator at(text.begin(), text.end(), quoted), end; at != end; ++at) {
            const std::string name = std::regex_replace((*at)[1].str(), std::regex(R"(\s+)"), " ");
            if (name.find('/') == std::string::npos)
                judge(code, name, false, unknown);
            else if (!in_tree(name))
                unknown.insert(name);
        }
    }
    return unknown;
}

}  // namespace

TEST_CASE("a name that the code lost would be seen in a document") {
    Code code;
    code.add("constexpr double agree_sds = 4.0, least_gain = -1.5, beyond = 1e-3;  // old_name = 3");
    CHECK(unknown_in("`agree_sds`, `agree_sds = 4.0`, `least_gain = -1.5`, `beyond = 1e-3`", code).empty());
    CHECK(unknown_in("`agree_sd`", code) == std::set<std::string>{"agree_sd"});
    CHECK(unknown_in("`beyond = 1e-4`", code) == std::set<std::string>{"beyond = 1e-4"});
    CHECK(unknown_in("`agree_sds = 4.5`", code) == std::set<std::string>{"agree_sds = 4.5"});
    CHECK(unknown_in("`old_name`, `src/no_such.h`", code) == std::set<std::string>{"old_name", "src/no_such.h"});
    CHECK(unknown_in("x\n```\ns_m = 5, agree_sds, least_loss = 2\n```\nagree_sd", code) ==
          std::set<std::string>{"least_loss", "least_loss = 2"});
}

TEST_CASE("what MODEL.md and DETECTION.md name is in the code") {
    const Code code = code_of_src();
    CHECK(code.words.size() > 1000);
    for (const char* path : {"src/match/MODEL.md", "src/tones/DETECTION.md"}) {
        const std::string document = text_of(root / path);
        CHECK(document.size() > 10000);
        for (const std::string& name : unknown_in(document, code)) {
            INFO(path << " names '" << name << "', which the code does not have");
            FAIL_CHECK();
        }
    }
}
