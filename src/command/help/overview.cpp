#include "command/help/overview.h"

#include "command/help/topics.h"
#include "command/verbs/verb.h"
#include "report/text/wrap.h"

namespace tattletone::command {

std::string help_overview() {
    const auto list = [](std::string_view name, std::string_view words) {
        return report::wrapped(words, 80, "  " + report::left_in(name, 12), std::string(14, ' '));
    };
    std::string text = report::wrapped(about, 80, "tattletone: ") +
                       "\nUsage: tattletone VERB …; alone it opens the window.\n\nVerbs:\n";
    for (const Verb& verb : verbs()) text += list(verb.name, verb.summary);
    text += "\nTopics of the manual:\n";
    for (const HelpTopic& topic : help_topics()) text += list(topic.name, topic.title);
    return text +
           "\n'tattletone VERB --help' explains a verb, with an example.\n"
           "'tattletone help TOPIC' opens the manual; 'help --man' prints all of it.\n"
           "'tattletone --version' tells the version.\n\n"
           "Exit status: 0 done, whatever was found; 1 it could not be done; 2 wrong usage;\n"
           "3 with --fail-if-heard, when a prominent tone is the board's by evidence.\n";
}

}  // namespace tattletone::command
