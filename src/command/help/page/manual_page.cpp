#include "command/help/page/manual_page.h"

#include <algorithm>
#include <cstdio>
#include <sstream>

#include "base/text/utf8.h"
#include "command/help/topics.h"
#include "command/verbs/verb.h"

namespace tattletone::command {
namespace {

// As it is to be read: a quote that can be copied, no letter taken for a request.
std::string roff_character(std::string_view text) {
    switch (text[0]) {
        case '\\':
            return "\\e";
        case '-':
            return "\\-";
        case '\'':
            return "\\(aq";
        case '"':
            return "\\(dq";
        case '`':
            return "\\(ga";
        case '^':
            return "\\(ha";
        case '~':
            return "\\(ti";
        default:
            return std::string(text);
    }
}

std::string roff(std::string_view text) {
    std::string line = text.starts_with('.') ? "\\&" : "";
    for (std::size_t at = 0; at < text.size();) {
        const base::Utf8Character character = base::utf8_character(text, at);
        if (character.bytes < 2) {
            line += roff_character(text.substr(at, 1));
            ++at;
            continue;
        }
        char code[16];
        std::snprintf(code, sizeof code, "\\[u%04X]", static_cast<unsigned>(character.code));
        line += code;
        at += character.bytes;
    }
    return line;
}

enum class Block { none, paragraph, item, as_it_is };

Block block_of(const std::string& line, Block now) {
    if (line.starts_with("- ")) return Block::item;
    if (!line.starts_with("  ")) return Block::paragraph;
    return now == Block::item && !line.starts_with("   ") ? Block::item : Block::as_it_is;
}

std::string body_of(const HelpTopic& topic) {
    constexpr std::size_t margin = 4;  // of what stands as it is, in a topic's file
    std::string page, waiting;
    Block now = Block::none;
    const auto enter = [&](Block next, const std::string& line) {
        if (now == Block::as_it_is && next != now) page += ".fi\n.RE\n";
        if (next == Block::paragraph && now != next) page += ".PP\n";
        if (next == Block::item && line.starts_with("- ")) page += ".IP \\(bu 2\n";
        if (next == Block::as_it_is) page += now == next ? waiting : ".PP\n.RS 2\n.nf\n";
        waiting.clear();
        now = next;
    };
    std::istringstream lines(topic.body);
    for (std::string line; std::getline(lines, line);) {
        if (line.empty()) {
            // It ends a paragraph or an item, and is a line of what stands as it is where that goes
            // on.
            if (now == Block::as_it_is)
                waiting += ".sp\n";
            else
                now = Block::none;
            continue;
        }
        const Block next = block_of(line, now);
        enter(next, line);
        const std::size_t indent = next == Block::as_it_is ? margin : next == Block::item ? 2 : 0;
        page += roff(line.substr(std::min(indent, line.size()))) + '\n';
    }
    if (now == Block::as_it_is) page += ".fi\n.RE\n";
    return page;
}

std::string in_capitals(std::string text) {
    for (char& letter : text)
        if (letter >= 'a' && letter <= 'z') letter = static_cast<char>(letter - 'a' + 'A');
    return text;
}

}  // namespace

std::string manual_page() {
    std::string page = ".TH TATTLETONE 1 \"\" \"Tattletone " TATTLETONE_VERSION
                       "\" \"Tattletone\"\n"
                       ".nh\n.ad l\n"
                       ".SH NAME\ntattletone \\- " +
                       roff(about_in_short) +
                       "\n"
                       ".SH SYNOPSIS\n.B tattletone\n.I VERB\n[options and files]\n.br\n.B "
                       "tattletone help\n.I TOPIC\n"
                       ".SH DESCRIPTION\nTells " +
                       roff(about) + "\n.PP\n" + roff(about_use) + "\n.SH VERBS\n";
    for (const Verb& verb : verbs()) page += ".TP\n.B " + roff(verb.name) + '\n' + roff(verb.summary) + '\n';
    for (const HelpTopic& topic : help_topics()) page += ".SH " + in_capitals(topic.title) + '\n' + body_of(topic);
    return page;
}

}  // namespace tattletone::command
