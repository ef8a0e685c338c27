// Fits the match's parameters to units of the audio simulator as the tone finder hears them, from the starts in
// src/match/model/parameter_entries.cpp, and prints the table. match_fit (tests/bench/make_parameters calls it)
// match_fit --same keeps the fitted values of the table that it was built with: for a change of a held value or of what
// its entry says match_fit UNITS a trial with another number of units
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <vector>

#include "bench/match_score.h"
#include "bench/parameter_table.h"
#include "bench/scene_units.h"
#include "support/names.h"

namespace {

using namespace tattletone;

constexpr std::uint64_t first_seed = 1;
constexpr int fitting_units = 150;
/// In spreads of the parameter; each round goes through all of them.
constexpr double steps[] = {1.0, 0.5, 0.25};

/// Log posterior of the units' truths, but for a constant.
class Goal {
  public:
    explicit Goal(int count) : units_(bench::hear_units(first_seed, count)) {}

    double of(const MatchParameters& parameters) const {
        double sum = static_cast<double>(units_.size()) * bench::score_of(units_, parameters).log_score;
        for (const ParameterEntry& entry : parameter_entries())
            if (entry.fitted()) {
                const double offset = bench::offset_of(entry, parameters.*entry.value);
                sum -= 0.5 * offset * offset;
            }
        return sum;
    }

  private:
    std::vector<bench::DrawnUnit> units_;
};

double moved(const ParameterEntry& entry, double value, double by) {
    const double offset = std::clamp(bench::offset_of(entry, value) + by, -search_spreads, search_spreads);
    return bench::as_printed(bench::value_at(entry, offset));
}

/// Coordinate search: a parameter goes on in the direction that gains as long as it gains.
MatchParameters fit(const Goal& goal) {
    MatchParameters best = bench::starting_parameters();
    double now = goal.of(best);
    std::fprintf(stderr, "start: %.2f\n", now);
    for (const double step : steps)
        for (const ParameterEntry& entry : parameter_entries()) {
            if (!entry.fitted()) continue;
            bool gained = false;
            for (const double direction : {step, -step}) {
                for (;;) {
                    MatchParameters tried = best;
                    tried.*entry.value = moved(entry, best.*entry.value, direction);
                    if (tried.*entry.value == best.*entry.value) break;
                    const double score = goal.of(tried);
                    if (score <= now) break;
                    best = tried;
                    now = score;
                    gained = true;
                }
                if (gained) break;
            }
            std::fprintf(stderr, "step %.2f, %s %.4g: %.2f\n", step, entry.name, best.*entry.value, now);
        }
    return best;
}

MatchParameters same() {
    MatchParameters parameters = bench::starting_parameters();
    const MatchParameters table = fitted_parameters();
    for (const ParameterEntry& entry : parameter_entries())
        if (entry.fitted()) parameters.*entry.value = table.*entry.value;
    return parameters;
}

}  // namespace

int main(int argc, char** argv) {
    const bool keep = argc > 1 && std::strcmp(argv[1], "--same") == 0;
    const int count = argc > 1 && !keep ? std::atoi(argv[1]) : fitting_units;
    if (count < 1) {
        std::fprintf(stderr, "match_fit: '%s' is no number of units; a whole number from 1 on is\n", argv[1]);
        return 1;
    }
    std::fputs(bench::table_text(keep ? same() : fit(Goal(count))).c_str(), stdout);
    return 0;
}
