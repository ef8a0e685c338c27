#include "match/model/card_grid.h"

#include <cmath>

namespace tattletone::match {

CardGrid::CardGrid(double sd_ppm) {
    const double sd = sd_ppm * 1e-6;
    low = -reach_sds * sd;
    step = 2.0 * reach_sds * sd / static_cast<double>(nodes - 1);
    double sum = 0.0;
    for (std::size_t i = 0; i < nodes; ++i) {
        const double z = at(i) / sd;
        weight[i] = std::exp(-0.5 * z * z);
        sum += weight[i];
    }
    for (double& value : weight) value /= sum;
}

}  // namespace tattletone::match
