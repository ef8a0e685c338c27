#pragma once

#include <optional>
#include <span>

namespace tattletone::logbook {

struct Interval {
    double low = 0.0, high = 0.0;
};

/// Wilson's score interval of a share (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927): `count` of `of`.
/// 0 to 1 where `of` is 0.
Interval wilson_interval(int count, int of, double confidence = 0.95);

/// Fisher's exact test, two-sided, of [[a, b], [c, d]]: the sum over all tables with the same margins
/// that are no more probable.
double fisher_exact(int a, int b, int c, int d);

/// McNemar's test in its exact form (binomial, two-sided): of pairs that changed, `one_way` did this
/// way and `other_way` that way. 1 where none changed.
double mcnemar_exact(int one_way, int other_way);

/// A difference of means with its 95 % interval by Student's t.
struct MeanDifference {
    double mean = 0.0;  ///< first minus second
    Interval interval;
    double t = 0.0, degrees = 0.0, p = 1.0;  ///< two-sided
};

/// B. L. Welch, Biometrika 34, 1947, with the degrees of freedom of Satterthwaite. Nothing with
/// fewer than two values on a side, or where no value differs.
std::optional<MeanDifference> welch_t(std::span<const double> first, std::span<const double> second);

/// Of pairs, in the same order in both. Nothing with fewer than two pairs or equal differences.
std::optional<MeanDifference> paired_t(std::span<const double> first, std::span<const double> second);

double mean_of(std::span<const double> values);                ///< 0 of none
double standard_deviation_of(std::span<const double> values);  ///< with n - 1; 0 below two

}  // namespace tattletone::logbook
