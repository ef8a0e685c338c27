#pragma once

#include <string>
#include <string_view>

namespace tattletone::report {

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

    const std::string& str() const { return text_; }

  private:
    JsonWriter& raw(std::string_view value);
    std::string text_;
    bool comma_ = false;
};

/// `object` (JSON) with one key more behind the others; `value` is JSON too.
std::string with_key(const std::string& object, std::string_view key, const std::string& value);

}  // namespace tattletone::report
