#include "match/product.h"

#include <algorithm>
#include <cmath>

#include "match/gauss.h"

namespace tattletone {

double log_sum(std::span<const double> values) {
    const double top = *std::max_element(values.begin(), values.end());
    double sum = 0.0;
    for (const double value : values) sum += std::exp(value - top);
    return top + std::log(sum);
}

Product product_of(std::span<const Pair> pairs, bool normalised) {
    Product product;
    double precision = 0.0, sum = 0.0;
    for (const Pair& pair : pairs) {
        const double weight = 1.0 / (pair.sd * pair.sd);
        precision += weight;
        sum += weight * (pair.x - pairs[0].x);
        if (normalised) product.log_constant -= std::log(pair.sd) + log_root_two_pi;
    }
    const double shift = sum / precision;
    product.mean = pairs[0].x + shift;
    for (const Pair& pair : pairs) {
        const double z = (pair.x - pairs[0].x - shift) / pair.sd;
        product.log_constant -= 0.5 * z * z;
    }
    product.sd = 1.0 / std::sqrt(precision);
    product.log_constant += log_root_two_pi + std::log(product.sd);
    return product;
}

}  // namespace tattletone
