#include "cause/hearing.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace tattletone::cause {
namespace {

struct ThresholdRow {
    double hz, db;
};

constexpr ThresholdRow thresholds[] = {
    {20, 78.1},    {25, 68.7},    {31.5, 59.5},  {40, 51.1},   {50, 44.0},    {63, 37.5},    {80, 31.5},
    {100, 26.5},   {125, 22.1},   {160, 17.9},   {200, 14.4},  {250, 11.4},   {315, 8.6},    {400, 6.2},
    {500, 4.4},    {630, 3.0},    {750, 2.4},    {800, 2.2},   {1000, 2.4},   {1250, 3.5},   {1500, 2.4},
    {1600, 1.7},   {2000, -1.3},  {2500, -4.2},  {3000, -5.8}, {3150, -6.0},  {4000, -5.4},  {5000, -1.5},
    {6000, 4.3},   {6300, 6.0},   {8000, 12.6},  {9000, 13.9}, {10000, 13.9}, {11200, 13.0}, {12500, 12.3},
    {14000, 18.4}, {16000, 40.2}, {18000, 70.4},
};

struct AgeRow {
    double hz;
    double male_a, male_b, female_a, female_b;      // ISO 7029:2017 Table 1
    double male_bu, male_bl, female_bu, female_bl;  // ISO 7029:2000, from memory
};

constexpr AgeRow ages[] = {
    {1000, 7.02e-4, 2.494, 2.21e-4, 2.805, 6.12, 4.89, 6.12, 4.89},
    {2000, 1.56e-3, 2.404, 3.12e-4, 2.792, 7.23, 5.78, 6.67, 5.34},
    {3000, 2.54e-3, 2.350, 4.88e-4, 2.728, 7.78, 6.23, 7.23, 5.78},
    {4000, 3.40e-3, 2.325, 7.37e-4, 2.660, 8.34, 6.67, 7.78, 6.23},
    {6000, 4.53e-3, 2.315, 1.47e-3, 2.539, 9.45, 7.56, 8.90, 7.12},
    {8000, 5.06e-3, 2.328, 2.53e-3, 2.439, 10.56, 8.45, 10.56, 8.45},
};

// The value of `of(row)` at hz, straight in log frequency; hz lies within the rows.
template <class Row, std::size_t count, class Of>
double between(const Row (&rows)[count], double hz, Of of) {
    const Row* next =
        std::lower_bound(std::begin(rows), std::end(rows), hz, [](const Row& row, double at) { return row.hz < at; });
    if (next->hz == hz) return of(*next);
    const Row& before = *(next - 1);
    const double share = std::log(hz / before.hz) / std::log(next->hz / before.hz);
    return of(before) + share * (of(*next) - of(before));
}

bool in_age_tables(double hz, double age) {
    return hz >= lowest_age_table_hz && hz <= highest_age_table_hz && age >= lowest_age && age <= oldest_at(hz);
}

}  // namespace

std::optional<double> hearing_threshold_db(double hz) {
    if (!(hz >= std::begin(thresholds)->hz && hz <= (std::end(thresholds) - 1)->hz)) return std::nullopt;
    return between(thresholds, hz, [](const ThresholdRow& row) { return row.db; });
}

double oldest_at(double hz) {
    return hz <= 2000.0 ? 80.0 : 70.0;
}

std::optional<double> age_loss_db(double hz, double age, Sex sex) {
    if (!in_age_tables(hz, age)) return std::nullopt;
    return between(ages, hz, [&](const AgeRow& row) {
        return sex == Sex::male ? row.male_a * std::pow(age - lowest_age, row.male_b)
                                : row.female_a * std::pow(age - lowest_age, row.female_b);
    });
}

std::optional<AgeSpread> age_spread(double hz, double age, Sex sex) {
    const auto median = age_loss_db(hz, age, sex);
    if (!median) return std::nullopt;
    constexpr double tenth = 1.2816;  // of the normal distribution
    const bool male = sex == Sex::male;
    const double upper = between(ages, hz, [&](const AgeRow& row) { return male ? row.male_bu : row.female_bu; });
    const double lower = between(ages, hz, [&](const AgeRow& row) { return male ? row.male_bl : row.female_bl; });
    return AgeSpread{*median - tenth * (lower + 0.356 * *median), *median + tenth * (upper + 0.445 * *median)};
}

}  // namespace tattletone::cause
