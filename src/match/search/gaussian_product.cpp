#include "match/search/gaussian_product.h"

#include <algorithm>
#include <cmath>

#include "match/model/gauss.h"

namespace tattletone::match {

double log_sum(std::span<const double> values) {
    const double top = *std::max_element(values.begin(), values.end());
    double sum = 0.0;
    for (const double value : values) sum += std::exp(value - top);
    return top + std::log(sum);
}

GaussianProduct gaussian_product(std::span<const LineMatch> line_matches, bool normalised) {
    GaussianProduct product;
    double precision = 0.0, sum = 0.0;
    for (const LineMatch& line_match : line_matches) {
        const double weight = 1.0 / (line_match.sd * line_match.sd);
        precision += weight;
        sum += weight * (line_match.x - line_matches[0].x);
        if (normalised) product.log_constant -= std::log(line_match.sd) + log_root_two_pi;
    }
    const double shift = sum / precision;
    product.mean = line_matches[0].x + shift;
    for (const LineMatch& line_match : line_matches) {
        const double z = (line_match.x - line_matches[0].x - shift) / line_match.sd;
        product.log_constant -= 0.5 * z * z;
    }
    product.sd = 1.0 / std::sqrt(precision);
    product.log_constant += log_root_two_pi + std::log(product.sd);
    return product;
}

}  // namespace tattletone::match
