#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace tattletone::match {

// Before a value is made of any. What the program writes into 32 MB, the most that a logbook keeps in a text, has
// fewer.
inline constexpr std::size_t most_values = 3'000'000;
inline constexpr std::size_t most_levels = 32;

/// Goes through a text before anything is made of it, as far as the first thing that is wrong.
class TextJudge : public nlohmann::json_sax<nlohmann::json> {
  public:
    static std::optional<Error> judge(std::string_view text) {
        TextJudge judge;
        if (nlohmann::json::sax_parse(text, &judge)) return std::nullopt;
        return judge.error_;
    }

    bool null() override { return value(); }
    bool boolean(bool) override { return value(); }
    bool number_integer(number_integer_t) override { return value(); }
    bool number_unsigned(number_unsigned_t) override { return value(); }
    bool number_float(number_float_t, const string_t&) override { return value(); }
    bool string(string_t&) override { return value(); }
    bool binary(binary_t&) override { return value(); }
    bool key(string_t&) override { return true; }
    bool start_object(std::size_t) override { return value() && opened(); }
    bool start_array(std::size_t) override { return value() && opened(); }
    bool end_object() override { return --level_, true; }
    bool end_array() override { return --level_, true; }
    bool parse_error(std::size_t position, const std::string&, const nlohmann::detail::exception& error) override {
        constexpr int number_out_of_range = 406;
        const bool too_large = error.id == number_out_of_range;
        error_ = {"byte " + std::to_string(position), too_large ? "this number is too large" : "this is no JSON",
                  too_large ? "Findings have none beyond 1e308" : "Findings are one object"};
        return false;
    }

  private:
    bool value() {
        if (++values_ > most_values) error_ = {"", "more than " + std::to_string(most_values) + " values", fewer};
        return values_ <= most_values;
    }
    bool opened() {
        if (++level_ > most_levels) error_ = {"", "more than " + std::to_string(most_levels) + " levels", fewer};
        return level_ <= most_levels;
    }

    static constexpr const char* fewer = "Findings have fewer";
    std::size_t values_ = 0, level_ = 0;
    Error error_;
};

}  // namespace tattletone::match
