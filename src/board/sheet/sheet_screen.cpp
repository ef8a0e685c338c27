#include "board/sheet/sheet_screen.h"

#include <algorithm>

#include "base/text/printable.h"
#include "base/text/utf8.h"

namespace tattletone::board {
namespace {

constexpr std::size_t most_errors = 20;

class Screen {
  public:
    Screen(std::string_view text, const std::string& name, std::vector<SheetError>& errors)
        : text_(text), name_(name), errors_(errors) {}

    bool pass() {
        const std::size_t before = errors_.size();
        while (at_ < text_.size() && errors_.size() - before < most_errors) step();
        return errors_.size() == before;
    }

  private:
    enum class Inside { nothing, comment, basic, literal, long_basic, long_literal };

    // A quote in the middle of something (2"x") opens nothing for the library.
    bool in_text() const { return inside_ == Inside::comment || (inside_ != Inside::nothing && opened_well_); }

    void step() {
        const base::Utf8Character character = base::utf8_character(text_, at_);
        if (character.bytes == 0) {
            complain("the byte " + base::printable(text_.substr(at_, 1)) + " is no part of UTF-8",
                     "Save the sheet as UTF-8");
        } else if (character.code == '\r' && !text_.substr(at_).starts_with("\r\n")) {
            complain("a carriage return stands here without a line feed",
                     "Save the sheet with lines that end in LF or CR LF");
        } else if ((character.code < 0x20 && character.code != '\t' && character.code != '\n' &&
                    character.code != '\r') ||
                   character.code == 0x7F) {
            complain("the control character " + base::printable(text_.substr(at_, 1)) + " stands here",
                     "Take it out; within double quotes it can be written as in \\u001B");
        } else if (character.code >= 0x80 && !in_text()) {
            complain("'" + std::string(text_.substr(at_, character.bytes)) + "' stands outside of quotes",
                     "Keys are letters, digits, - and _; other text stands in double quotes");
        } else if (character.code == '\n') {
            end_line();
            return;
        } else {
            follow(static_cast<char>(character.code));
            return;
        }
        advance(character.bytes);
    }

    void end_line() {
        if (inside_ == Inside::comment || inside_ == Inside::basic || inside_ == Inside::literal)
            inside_ = Inside::nothing;
        dots_ = 0;
        if (inside_ == Inside::nothing) before_ = '\n';
        ++at_;
        ++line_;
        column_ = 1;
        line_is_told_ = false;
    }

    // An ASCII character, or one inside a text.
    void follow(char c) {
        const std::size_t bytes = std::max<std::size_t>(base::utf8_character(text_, at_).bytes, 1);
        const std::string_view rest = text_.substr(at_);
        switch (inside_) {
            case Inside::comment:
                return advance(bytes);
            case Inside::basic:
            case Inside::long_basic:
                if (rest.starts_with('\\') && (rest.starts_with("\\\\") || rest.starts_with("\\\""))) return advance(2);
                return leave(rest, inside_ == Inside::basic ? "\"" : "\"\"\"", bytes);
            case Inside::literal:
            case Inside::long_literal:
                return leave(rest, inside_ == Inside::literal ? "'" : "'''", bytes);
            case Inside::nothing:
                break;
        }
        if (c == '[' && before_ == '\n' && levels_ == 0) judge_header(rest);
        if (inside_ == Inside::nothing && (c == '"' || c == '\''))
            opened_well_ = std::string_view("\n=,[{.").find(before_) != std::string_view::npos;
        if (c != ' ' && c != '\t' && c != '\r') before_ = c;
        if (rest.starts_with("\"\"\"") || rest.starts_with("'''")) {
            inside_ = c == '"' ? Inside::long_basic : Inside::long_literal;
            return advance(3);
        }
        if (c == '"' || c == '\'') inside_ = c == '"' ? Inside::basic : Inside::literal;
        if (c == '#') inside_ = Inside::comment;
        if (c == '.' && ++dots_ >= most_levels)
            complain("a name has more than " + std::to_string(most_levels) + " parts",
                     "Names of a board sheet have no dots but those of [[part.rate]]");
        if (c == '=' || c == ',') dots_ = 0;
        if (c == '[' || c == '{') {
            dots_ = 0;
            if (++levels_ > most_levels)
                complain("lists and tables are nested more than " + std::to_string(most_levels) + " deep here",
                         "A board sheet nests them no deeper than a list of texts");
        }
        if (c == ']' || c == '}') levels_ = std::max(0, levels_ - 1);
        advance(1);
    }

    // The library takes for granted that the head of a table begins with a name.
    void judge_header(std::string_view rest) {
        const std::size_t begin = rest.find_first_not_of(" \t", rest.starts_with("[[") ? 2 : 1);
        const char first = begin == std::string_view::npos ? '\n' : rest[begin];
        const bool letter =
            (first >= 'a' && first <= 'z') || (first >= 'A' && first <= 'Z') || (first >= '0' && first <= '9');
        if (letter || std::string_view("-_\"'").find(first) != std::string_view::npos) return;
        complain("a table's name is missing behind the bracket", "Write it as in [board] or [[part]]");
    }

    // A long text may hold up to two more of its quotes right before its end.
    void leave(std::string_view rest, std::string_view end, std::size_t bytes) {
        if (!rest.starts_with(end)) return advance(bytes);
        std::size_t length = end.size();
        while (end.size() == 3 && length < 5 && length < rest.size() && rest[length] == end[0]) ++length;
        inside_ = Inside::nothing;
        advance(length);
    }

    void advance(std::size_t bytes) {
        column_ += bytes > 1 && text_[at_] < 0 ? 1 : static_cast<int>(std::max<std::size_t>(bytes, 1));
        at_ += std::max<std::size_t>(bytes, 1);
    }

    void complain(std::string what, std::string todo) {
        if (!line_is_told_) errors_.push_back({name_, line_, column_, std::move(what), std::move(todo)});
        line_is_told_ = true;
    }

    std::string_view text_;
    const std::string& name_;
    std::vector<SheetError>& errors_;
    std::size_t at_ = 0;
    int line_ = 1, column_ = 1, dots_ = 0, levels_ = 0;
    char before_ = '\n';  // the last that is no blank, outside of texts
    bool line_is_told_ = false, opened_well_ = true;
    Inside inside_ = Inside::nothing;
};

}  // namespace

bool screen_syntax(std::string_view text, const std::string& name, std::vector<SheetError>& errors) {
    return Screen(text, name, errors).pass();
}

}  // namespace tattletone::board
