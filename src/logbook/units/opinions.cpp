#include "logbook/units/opinions.h"

#include <algorithm>

#include "logbook/units/identity.h"

namespace tattletone::logbook {

std::optional<Error> add_opinion(Logbook& logbook, const Opinion& opinion) {
    Database& database = logbook.database();
    Transaction transaction(database);
    database.run("INSERT INTO opinion VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", new_id(), opinion.unit, opinion.board,
                 opinion.rate, opinion.said, opinion.cause, opinion.fix, opinion.said_by, now_utc());
    return transaction.commit();
}

Result<std::vector<Opinion>> latest_opinions(Logbook& logbook, const std::string& board, const std::string& unit_id) {
    Database& database = logbook.database();
    std::string sql =
        "SELECT opinion.id, opinion.unit, unit.serial, board, rate, said, cause, fix, said_by, said_at "
        "FROM opinion JOIN unit ON unit.id = opinion.unit WHERE NOT EXISTS (SELECT 1 FROM opinion AS "
        "later WHERE later.unit = opinion.unit AND later.rate = opinion.rate AND (later.said_at, "
        "later.id) > (opinion.said_at, opinion.id))";
    if (!board.empty()) sql += " AND board = ?1";
    if (!unit_id.empty()) sql += " AND opinion.unit = ?2";
    sql += " ORDER BY said_at DESC, opinion.id";
    std::vector<Opinion> opinions;
    for (auto row = database.query(sql.c_str(), board, unit_id); row.step();)
        opinions.push_back({row.text(0), row.text(1), row.text(2), row.text(3), row.text(4), row.text(5), row.text(6),
                            row.text(7), row.text(8), row.text(9)});
    if (database.failed()) return database.take_error();
    return opinions;
}

std::map<std::string, double> prior_odds_factors(const std::vector<Opinion>& opinions) {
    constexpr double most = 4.0;
    std::map<std::string, std::pair<int, int>> counts;
    for (const Opinion& opinion : opinions) {
        if (opinion.said == "confirmed") ++counts[opinion.rate].first;
        if (opinion.said == "rejected") ++counts[opinion.rate].second;
    }
    std::map<std::string, double> factors;
    for (const auto& [rate, count] : counts) {
        const double factor = std::clamp((1.0 + count.first) / (1.0 + count.second), 1.0 / most, most);
        if (factor != 1.0) factors[rate] = factor;
    }
    return factors;
}

}  // namespace tattletone::logbook
