#include "logbook/identity.h"

#include <chrono>
#include <cstdio>
#include <ctime>
#include <random>

namespace tattletone {

std::string new_id() {
    std::random_device device;
    std::string id;
    for (int i = 0; i < 32; ++i) {
        unsigned digit = device() & 15u;
        if (i == 12) digit = 4;
        if (i == 16) digit = 8u | (digit & 3u);
        if (i == 8 || i == 12 || i == 16 || i == 20) id += '-';
        id += "0123456789abcdef"[digit];
    }
    return id;
}

bool is_record_id(std::string_view text) {
    if (text.size() != 36) return false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool dash = i == 8 || i == 13 || i == 18 || i == 23;
        const bool digit = (text[i] >= '0' && text[i] <= '9') || (text[i] >= 'a' && text[i] <= 'f');
        if (dash ? text[i] != '-' : !digit) return false;
    }
    return true;
}

std::string now_utc() {
    using namespace std::chrono;
    const auto now = floor<milliseconds>(system_clock::now());
    const auto day = floor<days>(now);
    const year_month_day date(day);
    const hh_mm_ss time(now - day);
    char text[40];
    std::snprintf(text, sizeof text, "%04d-%02u-%02uT%02d:%02d:%02d.%03dZ",
                  static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                  static_cast<unsigned>(date.day()), static_cast<int>(time.hours().count()),
                  static_cast<int>(time.minutes().count()), static_cast<int>(time.seconds().count()),
                  static_cast<int>(time.subseconds().count()));
    return text;
}

}  // namespace tattletone
