#include "command/help/topics.h"

#include <algorithm>
#include <sstream>

#include "base/text/lower_case.h"
#include "report/text/wrap.h"
#include "window/keys.h"

namespace tattletone::command {
namespace {

std::string keys_text() {
    constexpr int columns = 72, indent = 4, key_column = 27;
    std::string text;
    for (const window::KeyLine& line : window::key_lines())
        text += report::wrapped(line.does, columns, std::string(indent, ' ') + report::left_in(line.key, key_column),
                                std::string(indent + key_column, ' '));
    return text;
}

HelpTopic read(const HelpFile& file) {
    HelpTopic topic;
    topic.name = file.name;
    std::istringstream text{std::string(file.text)};
    std::string also, line;
    std::getline(text, topic.title);
    std::getline(text, also);
    std::istringstream words(also.substr(also.find(':') + 1));
    for (std::string word; words >> word;) topic.also.push_back(word);
    std::getline(text, line);
    while (std::getline(text, line)) topic.body += line == "{keys}" ? keys_text() : line + '\n';
    return topic;
}

bool holds(const std::string& text, std::string_view word) {
    return base::lower_case(text).find(base::lower_case(word)) != std::string::npos;
}

}  // namespace

const std::vector<HelpTopic>& help_topics() {
    static const std::vector<HelpTopic> topics = [] {
        std::vector<HelpTopic> all;
        for (const HelpFile& file : help_files()) all.push_back(read(file));
        return all;
    }();
    return topics;
}

const HelpTopic* find_topic(std::string_view word) {
    const auto& topics = help_topics();
    auto found = std::find_if(topics.begin(), topics.end(), [&](const HelpTopic& topic) { return topic.name == word; });
    if (found == topics.end())
        found = std::find_if(topics.begin(), topics.end(), [&](const HelpTopic& topic) {
            return std::find(topic.also.begin(), topic.also.end(), word) != topic.also.end();
        });
    return found == topics.end() ? nullptr : &*found;
}

std::vector<std::string> topics_about(std::string_view word, bool in_the_body) {
    std::vector<std::string> names;
    for (const HelpTopic& topic : help_topics())
        if (in_the_body ? holds(topic.body, word)
                        : std::find(topic.also.begin(), topic.also.end(), word) != topic.also.end())
            names.push_back(topic.name);
    return names;
}

}  // namespace tattletone::command
