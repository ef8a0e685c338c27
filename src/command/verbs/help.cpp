#include <algorithm>

#include "base/text/lower_case.h"
#include "base/text/number.h"
#include "board/sheet/nearest.h"
#include "command/arguments/options.h"
#include "command/help/overview.h"
#include "command/help/page/manual_page.h"
#include "command/help/topics.h"
#include "command/terminal/console.h"
#include "report/text/wrap.h"

namespace tattletone::command {
namespace {

std::string quoted_list(const std::vector<std::string>& words, const std::string& between) {
    std::string text;
    for (std::size_t i = 0; i < words.size(); ++i)
        text += (i == 0 ? "'" : i + 1 == words.size() ? between + "'" : ", '") + words[i] + "'";
    return text;
}

const Verb* find_verb(std::string_view name) {
    const auto found =
        std::find_if(verbs().begin(), verbs().end(), [&](const Verb& verb) { return verb.name == name; });
    return found == verbs().end() ? nullptr : &*found;
}

/// Words that were probably meant, the nearest first; no two of one topic.
std::vector<std::string> near_words(const std::string& typed) {
    std::vector<std::string> known;
    for (const HelpTopic& topic : help_topics()) {
        known.push_back(topic.name);
        known.insert(known.end(), topic.also.begin(), topic.also.end());
    }
    for (const Verb& verb : verbs()) known.emplace_back(verb.name);
    std::vector<std::string> near;
    while (near.size() < 3) {
        const std::string word = board::nearest_word(typed, known);
        if (word.empty()) break;
        near.push_back(word);
        const HelpTopic* const topic = find_topic(word);
        std::erase_if(known, [&](const std::string& other) {
            return other == word || (topic != nullptr && find_topic(other) == topic);
        });
    }
    return near;
}

int unknown_topic(const std::string& typed) {
    const auto near = near_words(typed);
    const auto about = typed.size() < 3 ? std::vector<std::string>{} : topics_about(typed, true);
    std::string todo = "'tattletone help' lists the topics and verbs";
    if (!near.empty())
        todo = "Did you mean " + quoted_list(near, " or ") + "? " + todo;
    else if (!about.empty())
        todo = "It is spoken of under " + quoted_list(about, " and ") + "; " + todo;
    tell({"help", "there is no topic and no verb '" + typed + "'", todo});
    return exit_usage;
}

std::string text_of(const HelpTopic& topic) {
    const bool bold = terminal_of(Stream::out).bold;
    return (bold ? report::in_bold(topic.title) : topic.title) + "\n\n" + topic.body;
}

int explain(const std::string& typed) {
    const std::string word = base::lower_case(typed);
    const Verb* const verb = find_verb(word);
    const HelpTopic* topic = find_topic(word);
    if (verb == nullptr) {
        if (topic == nullptr) return unknown_topic(typed);
        return print(text_of(*topic)) ? exit_done : exit_failed;
    }
    if (const int status = verb->run({"--help"}); status != exit_done) return status;
    if (topic != nullptr && topic->name == word && !print('\n' + text_of(*topic))) return exit_failed;
    std::vector<std::string> more;
    for (const std::string& name : topics_about(word, false)) more.push_back("tattletone help " + name);
    if (!more.empty() && !print('\n' + report::wrapped("More: " + quoted_list(more, " and ") + ".", 80)))
        return exit_failed;
    return exit_done;
}

}  // namespace

int run_help(const Arguments& arguments) {
    std::string word;
    bool man = false;
    Options options("help", "The manual: its topics and the verbs, one of either, or all of it as a man page.",
                    "  tattletone help\n  tattletone help sheet\n"
                    "  tattletone help --man >tattletone.1 && man -l tattletone.1");
    options.app.add_option("TOPIC", word, "a topic or a verb; without it they are listed")->type_name("");
    options.flag("--man", man, "the whole manual as the source of a man page");
    if (const auto status = options.parse(arguments)) return *status;
    if (man && !word.empty())
        return options.wrong_usage("--man", "it prints every topic", "Leave out '" + word + "', or --man");
    if (man) return print(manual_page()) ? exit_done : exit_failed;
    if (!word.empty()) return explain(word);
    return print(help_overview()) ? exit_done : exit_failed;
}

}  // namespace tattletone::command
