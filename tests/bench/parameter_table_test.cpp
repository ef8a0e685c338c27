#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <iterator>
#include <set>
#include <string>

#include "bench/parameter_table.h"

using namespace tattletone;

TEST_CASE("the table is what make_parameters writes from its values and the entries") {
    std::ifstream file(TATTLETONE_SOURCE_DIR "/src/match/model/parameters_table.inc", std::ios::binary);
    REQUIRE(file);
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    CHECK(text == bench::table_text(fitted_parameters()));
}

TEST_CASE("a fitted value is none that the search was stopped at") {
    const MatchParameters table = fitted_parameters();
    int fitted = 0;
    for (const ParameterEntry& entry : parameter_entries()) {
        if (!entry.fitted()) continue;
        ++fitted;
        INFO(entry.name << " " << table.*entry.value);
        CHECK(std::abs(bench::offset_of(entry, table.*entry.value)) < 0.99 * search_spreads);
        CHECK(table.*entry.value == bench::as_printed(table.*entry.value));
        for (const double offset : {-search_spreads, -0.3, 0.0, search_spreads})
            CHECK(bench::offset_of(entry, bench::value_at(entry, offset)) == Approx(offset).margin(1e-9));
    }
    CHECK(fitted >= 14);
}

TEST_CASE("a value that is held is its entry's, which says where it comes from") {
    const MatchParameters table = fitted_parameters();
    std::set<std::string> names;
    for (const ParameterEntry& entry : parameter_entries()) {
        INFO(entry.name);
        CHECK(names.insert(entry.name).second);
        if (entry.fitted()) continue;
        CHECK(table.*entry.value == entry.start);
        const std::string by = entry.held_by;
        const char* const origins[] = {"assumed", "common practice", "derived: ", "measured"};
        CHECK(std::any_of(std::begin(origins), std::end(origins),
                          [&](const char* origin) { return by.rfind(origin, 0) == 0; }));
    }
}
