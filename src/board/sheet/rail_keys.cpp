#include "board/sheet/rail_keys.h"

namespace tattletone::board {

std::span<const RailKey> rail_keys() {
    static constexpr double most = 1e9;
    static constexpr RailKey keys[] = {
        {"v_in", &Rail::v_in, 0.0, most, false, ""},
        {"v_in_min", &Rail::v_in_min, 0.0, most, false, ""},
        {"v_out", &Rail::v_out, -1000.0, 1000.0, true, " V"},
        {"max_current_ma", &Rail::max_current_ma, 0.0, most, false, ""},
        {"max_dissipation_mw", &Rail::max_dissipation_mw, 0.0, most, false, ""},
        {"theta_ja_c_per_w", &Rail::theta_ja_c_per_w, 0.0, most, false, ""},
        {"t_j_max_c", &Rail::t_j_max_c, 0.0, 500.0, true, " °C"},
        {"ambient_c", &Rail::ambient_c, -100.0, 300.0, true, " °C"},
        {"output_capacitance_uf", &Rail::output_capacitance_uf, 0.0, most, true, ""},
        {"esr_mohm", &Rail::esr_mohm, 0.0, most, true, ""},
        {"dropout_v", &Rail::dropout_v, 0.0, most, true, ""},
        {"path_mohm", &Rail::path_mohm, 0.0, most, true, ""},
        {"quiescent_ma", &Rail::quiescent_ma, 0.0, most, true, ""},
        {"efficiency_percent", &Rail::efficiency_percent, 0.0, 100.0, false, " %"},
    };
    return keys;
}

}  // namespace tattletone::board
