// The plan as a table, and what a person who switches is told.

#include <catch2/catch.hpp>

#include "toggle/plan/plan.h"
#include "toggle/plan/prompt.h"

using namespace tattletone;

namespace {

toggle::Plan plan_of(std::size_t parts, std::size_t steps, double step_seconds) {
    toggle::Plan plan;
    for (std::size_t i = 0; i < parts; ++i) plan.parts.push_back("part-" + std::to_string(i));
    toggle::Generator generator(3);
    plan.columns = toggle::draw_columns(generator, parts, steps);
    plan.step_seconds = step_seconds;
    return plan;
}

std::string error_of(const std::string& csv) {
    const auto plan = toggle::plan_of_csv(csv, "plan.csv");
    REQUIRE_FALSE(plan);
    return to_sentence(plan.error());
}

}  // namespace

TEST_CASE("a table is read as it was written, also with other line ends") {
    for (const double step : {0.1, 0.5, 1.0 / 3.0, 3.0}) {
        const toggle::Plan plan = plan_of(3, 61, step);
        std::string csv = toggle::plan_csv(plan);
        CHECK(csv.starts_with("seconds,part-0,part-1,part-2\n0,"));
        for (const bool carriage : {false, true}) {
            std::string text = csv;
            if (carriage)
                for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; at += 2)
                    text.insert(at, "\r");
            const auto read = toggle::plan_of_csv(text, "plan.csv");
            REQUIRE(read);
            CHECK(read->parts == plan.parts);
            CHECK(read->columns == plan.columns);
            CHECK(read->step_seconds == Approx(step).margin(1e-5));
        }
    }
}

TEST_CASE("what is no plan is told with its place") {
    const std::string csv = toggle::plan_csv(plan_of(1, 40, 0.5));
    CHECK(error_of("").find("no steps") != std::string::npos);
    CHECK(error_of("time,lamp\n0,1\n").find("plan.csv:1: this is no toggle plan") == 0);
    CHECK(error_of("seconds\n0\n").find("plan.csv:1") == 0);
    std::string wrong = csv;
    wrong.replace(wrong.find("\n1,"), 4, "\n1,2");
    CHECK(error_of(wrong).find("plan.csv:4: '2' is neither 0 nor 1") == 0);
    wrong = csv;
    wrong.replace(wrong.find("\n1,"), 2, "\nx");
    CHECK(error_of(wrong).find("plan.csv:4: this is no row") == 0);
    wrong = csv;
    wrong.erase(wrong.find("\n1,"), 4);
    CHECK(error_of(wrong).find("not all of one length") != std::string::npos);
    // Cut off, or with one row changed: of another origin than the generator.
    CHECK(error_of(csv.substr(0, csv.find("\n10,") + 1)).find("would not have drawn this plan") != std::string::npos);
    wrong = csv;
    const std::size_t at = wrong.find("\n1,") + 3;
    wrong[at] = wrong[at] == '0' ? '1' : '0';
    CHECK(error_of(wrong).find("would not have drawn this plan") != std::string::npos);
    std::string many = "seconds,a\n";
    for (int i = 0; i < 700; ++i) many += std::to_string(i) + ",0\n";
    CHECK(error_of(many).find("more than 600 steps") != std::string::npos);
}

TEST_CASE("a person is told each switching, in time, and what is on") {
    const toggle::Plan plan = plan_of(2, 40, 3.0);
    const double begin = toggle::prompt_lead_seconds;
    CHECK(toggle::prompt_at(plan, 0.0).now.empty());
    CHECK(toggle::prompt_at(plan, 0.0).seconds_to_next == Approx(begin));
    CHECK(toggle::prompt_words(toggle::prompt_at(plan, begin - 2.4)).starts_with("Get ready. In 3 s: part-0 O"));
    std::vector<bool> lit(2, false);
    for (std::size_t step = 0; step < plan.steps(); ++step) {
        // Doing what the announcement before each step says leads to what the plan has.
        const toggle::Prompt before = toggle::prompt_at(plan, begin + 3.0 * static_cast<double>(step) - 0.5);
        for (std::size_t part = 0; part < 2; ++part) {
            if (before.seconds_to_next > 1.0) continue;
            if (before.next.find(plan.parts[part] + " ON") != std::string::npos) lit[part] = true;
            if (before.next.find(plan.parts[part] + " OFF") != std::string::npos) lit[part] = false;
        }
        const toggle::Prompt within = toggle::prompt_at(plan, begin + 3.0 * static_cast<double>(step) + 0.5);
        for (std::size_t part = 0; part < 2; ++part) {
            CHECK(lit[part] == (plan.columns[part][step] != 0));
            CHECK((within.now.find(plan.parts[part] + " ON") != std::string::npos) == lit[part]);
        }
        CHECK_FALSE(within.over);
        if (before.seconds_to_next > 1.0) continue;
        CHECK(within.changed == before.next);
        CHECK(within.seconds_since == Approx(0.5));
    }
    const toggle::Prompt behind = toggle::prompt_at(plan, begin + 120.5);
    CHECK(behind.over);
    CHECK(behind.next.empty());
}
