#pragma once

#include <span>

#include "match/search/assignment.h"

namespace tattletone::match {

/// GaussianProduct of Gaussians in x: exp(log_constant) · N(x; mean, sd).
struct GaussianProduct {
    double log_constant = 0.0, mean = 0.0, sd = 0.0;
};

/// Of the line_matches' Gaussians, one at least. `normalised`: densities. Otherwise windows of height 1.
GaussianProduct gaussian_product(std::span<const LineMatch> line_matches, bool normalised);

/// log Σ exp(values), one at least.
double log_sum(std::span<const double> values);

}  // namespace tattletone::match
