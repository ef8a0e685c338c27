#pragma once

#include <span>

#include "match/mode.h"

namespace tattletone {

/// Product of Gaussians in x: exp(log_constant) · N(x; mean, sd).
struct Product {
    double log_constant = 0.0, mean = 0.0, sd = 0.0;
};

/// Of the pairs' Gaussians, one at least. `normalised`: densities. Otherwise windows of height 1.
Product product_of(std::span<const Pair> pairs, bool normalised);

/// log Σ exp(values), one at least.
double log_sum(std::span<const double> values);

}  // namespace tattletone
