#pragma once

#include <string>
#include <vector>

#include "mutate.h"
#include "support/names.h"

namespace tattletone {

/// One change that leaves JSON what it is: a number, a text or a word becomes another value, or an object is
/// doubled. Bytes changed anywhere nearly always end in what is refused at the first look.
template <class Random>
void mutate_json(std::string& text, Random& random) {
    static const std::vector<std::string> values = {"0",
                                                    "-1",
                                                    "1",
                                                    "2",
                                                    "7",
                                                    "1e308",
                                                    "-1e308",
                                                    "1e999",
                                                    "-1e999",
                                                    "1e-320",
                                                    "0.5",
                                                    "-60.25",
                                                    "3000",
                                                    "1e10",
                                                    "48000",
                                                    "2147483648",
                                                    "-2147483649",
                                                    "9223372036854775807",
                                                    "99999999999999999999",
                                                    "null",
                                                    "true",
                                                    "false",
                                                    "\"\"",
                                                    "\"x\"",
                                                    "\"\\u0000\"",
                                                    "\"\\ud800\"",
                                                    "\"<b>\"",
                                                    "\"\\u001b[2J\"",
                                                    "{}",
                                                    "[]",
                                                    "[{}]",
                                                    "[[1,2],{\"a\":3}]"};
    struct Piece {
        std::size_t begin, end;
    };
    std::vector<Piece> pieces;
    std::vector<std::size_t> open;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t begin = at;
        const char c = text[at];
        if (c == '"') {
            for (++at; at < text.size() && text[at] != '"'; ++at) at += text[at] == '\\';
            ++at;
            const bool key = at < text.size() && text[at] == ':';
            if (!key && at <= text.size()) pieces.push_back({begin, at});
        } else if ((c >= '0' && c <= '9') || c == '-' || (c >= 'a' && c <= 'z')) {
            while (at < text.size() &&
                   std::string("+-.0123456789abcdefghijklmnopqrstuvwxyzE").find(text[at]) != std::string::npos)
                ++at;
            pieces.push_back({begin, at});
        } else {
            if (c == '{') open.push_back(at);
            if (c == '}' && !open.empty()) {
                if (open.size() > 1) pieces.push_back({open.back(), at + 1});
                open.pop_back();
            }
            ++at;
        }
    }
    if (pieces.empty()) return;
    const Piece piece = pieces[below(random, pieces.size())];
    const std::string old = text.substr(piece.begin, piece.end - piece.begin);
    if (old[0] == '{' && below(random, 2) == 0)
        text.insert(piece.begin, old + ",");
    else
        text.replace(piece.begin, old.size(), values[below(random, values.size())]);
}

}  // namespace tattletone
