#pragma once

#include <map>
#include <string>
#include <vector>

#include "logbook/logbook.h"

namespace tattletone::logbook {

/// What a person says about a suspect of a unit.
struct Opinion {
    std::string id, unit, serial, board, rate;
    std::string said;        ///< "confirmed", "rejected" or "open"
    std::string cause, fix;  ///< in the person's words, may be empty
    std::string said_by, said_at;
};

/// `opinion.id`, `serial` and `said_at` are filled in here.
std::optional<Error> add_opinion(Logbook& logbook, const Opinion& opinion);

/// What was said last of each unit and rate, the newest first; 'open' ones among them. Either
/// argument may be empty: any.
Result<std::vector<Opinion>> latest_opinions(Logbook& logbook, const std::string& board, const std::string& unit_id);

/// How this bench shifts the prior odds of each rate of a board (by its name, whatever the revision):
///     (1 + units in which it is confirmed) / (1 + units in which it is rejected),
/// never below 1/4 and never above 4. Rates that stay at 1 are left out.
std::map<std::string, double> prior_odds_factors(const std::vector<Opinion>& opinions);

}  // namespace tattletone::logbook
