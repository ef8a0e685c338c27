#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace tattletone::command {

inline constexpr std::string_view about_in_short = "which part of a small board is singing",
                                  about =
                                      "which part of a small board is singing, from a recording of it and the rates "
                                      "that you declared for its parts.",
                                  about_use =
                                      "'tattletone' alone opens the window; 'tattletone VERB --help' explains a "
                                      "verb with its options and an example.";

/// A file of src/command/help as the build embeds it, without ".txt".
struct HelpFile {
    std::string_view name, text;
};

/// In the order of the manual. Generated from help/*.txt by src/command/CMakeLists.txt.
std::span<const HelpFile> help_files();

/// One topic of the manual. Its file: the title; `also: ` and the other words by which it is found;
/// an empty line; the body. In the body a paragraph begins at the margin, an item with "- " and
/// goes on indented by two, and what is indented by four or more stands as it is (an example, a
/// table). A line `{keys}` is where the keys of the window go. Lines end within 78 columns, those
/// that stand as they are within 72, which leaves room for a man page's margin.
struct HelpTopic {
    std::string name, title;
    std::vector<std::string> also;
    std::string body;
};

/// All of them, in the order of the manual.
const std::vector<HelpTopic>& help_topics();

/// By its name, or by one of its other words; null where there is none.
const HelpTopic* find_topic(std::string_view word);

/// The names of the topics that have `word` among their other words, or with `in_the_body` in their
/// text.
std::vector<std::string> topics_about(std::string_view word, bool in_the_body);

}  // namespace tattletone::command
