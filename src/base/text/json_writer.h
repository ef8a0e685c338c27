#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace tattletone::base {

/// What another writer wrote, to stand under `key` in an object.
struct JsonPart {
    std::string key, json;
};
using JsonParts = std::vector<JsonPart>;

/// Writes one line of JSON (RFC 8259), key by key, in the order of the calls. The caller opens and
/// closes in pairs; commas are put where they belong.
class JsonWriter {
  public:
    JsonWriter& open(char bracket);
    JsonWriter& close(char bracket);
    JsonWriter& key(std::string_view name);

    JsonWriter& text(std::string_view value);
    JsonWriter& text_or_null(std::string_view value);  ///< empty: null
    JsonWriter& integer(long long value);
    JsonWriter& real(double value, int decimals);           ///< at least one decimal; null where not finite
    JsonWriter& whole_or_real(double value, int decimals);  ///< no point where whole
    JsonWriter& boolean(bool value);
    JsonWriter& null();
    JsonWriter& texts(const std::vector<std::string>& values);  ///< an array
    JsonWriter& parts(const JsonParts& parts);

    const std::string& str() const { return text_; }

  private:
    JsonWriter& raw(std::string_view value);
    std::string text_;
    bool comma_ = false;
};

}  // namespace tattletone::base
