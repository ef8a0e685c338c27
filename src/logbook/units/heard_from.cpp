#include "logbook/units/heard_from.h"

#include <algorithm>

#include "logbook/storage/kept_floor.h"

namespace tattletone::logbook {

std::optional<double> least_audible_dbfs(Database& database, std::int64_t measurement, double hz) {
    std::optional<double> least;
    for (auto take =
             database.query("SELECT floor FROM take WHERE measurement = ? AND is_room = 0 AND is_far = 0", measurement);
         take.step();) {
        tones::Tones found;
        found.floor = unpacked_floor(take.bytes(0));
        if (found.floor.empty() || hz < found.floor.front().hz || hz > found.floor.back().hz) continue;
        const double above = tones::floor_at(found, hz).steady_above_dbfs;
        least = least ? std::min(*least, above) : above;
    }
    return least;
}

}  // namespace tattletone::logbook
