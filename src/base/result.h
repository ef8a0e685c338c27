#pragma once

#include <cassert>
#include <string>
#include <utility>
#include <variant>

namespace tattletone::base {

/// What went wrong, told so that a person can act on it. Printed as `WHERE: what is wrong. What to do.`
/// `where` is a path, `path:line:column`, a device or an option; `what` and `todo` are sentences
/// without the final full stop. No text of a library ends up in here unless it was rewritten.
struct Error {
    std::string where;
    std::string what;
    std::string todo;
    /// The cause lies outside what was looked at and may be gone another time (no permission, no memory, a
    /// failing disk): who remembers what is broken does not remember this.
    bool may_pass = false;
};

inline std::string to_sentence(const Error& error) {
    std::string text = error.where.empty() ? error.what : error.where + ": " + error.what;
    text += '.';
    if (!error.todo.empty()) text += ' ' + error.todo + '.';
    return text;
}

/// A value or the reason why there is none. Reading the side that is not there is a programmer's error.
template <class Value>
class [[nodiscard]] Result {
  public:
    Result(Value value) : content_(std::in_place_index<0>, std::move(value)) {}
    Result(Error error) : content_(std::in_place_index<1>, std::move(error)) {}

    explicit operator bool() const { return content_.index() == 0; }
    Value& operator*() & { return checked(); }
    const Value& operator*() const& { return const_cast<Result*>(this)->checked(); }
    Value&& operator*() && { return std::move(checked()); }
    Value* operator->() { return &checked(); }
    const Value* operator->() const { return &const_cast<Result*>(this)->checked(); }
    const Error& error() const {
        assert(content_.index() == 1);
        return *std::get_if<1>(&content_);
    }

  private:
    Value& checked() {
        assert(content_.index() == 0);
        return *std::get_if<0>(&content_);
    }
    std::variant<Value, Error> content_;
};

}  // namespace tattletone::base

namespace tattletone {

// What nearly every function of every folder may give.
using base::Error;
using base::Result;

}  // namespace tattletone
