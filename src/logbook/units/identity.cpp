#include "logbook/units/identity.h"

#include <chrono>
#include <cstdio>
#include <ctime>

#include "base/uuid.h"

namespace tattletone::logbook {

std::string new_id() {
    return base::random_uuid();
}

bool is_record_id(std::string_view text) {
    return base::is_uuid(text);
}

std::string now_utc() {
    using namespace std::chrono;
    const auto now = floor<milliseconds>(system_clock::now());
    const auto day = floor<days>(now);
    const year_month_day date(day);
    const hh_mm_ss time(now - day);
    char text[40];
    std::snprintf(text, sizeof text, "%04d-%02u-%02uT%02d:%02d:%02d.%03dZ", static_cast<int>(date.year()),
                  static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                  static_cast<int>(time.hours().count()), static_cast<int>(time.minutes().count()),
                  static_cast<int>(time.seconds().count()), static_cast<int>(time.subseconds().count()));
    return text;
}

}  // namespace tattletone::logbook
