// The toggle plan's arithmetic on numbers from standard input, for compare_toggle.py: a line of levels, a line of 0 and
// 1 for each part, the first of which is tried. Prints the exact p-value over all orders with as many steps on, given
// the other parts; then the coefficients and standard errors of the regression.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iostream>
#include <sstream>
#include <string>

#include "toggle/trial/pinned.h"
#include "toggle/trial/regression.h"

using namespace tattletone;

int main() {
    std::vector<double> levels;
    std::vector<toggle::Column> columns;
    for (std::string line; std::getline(std::cin, line);) {
        std::istringstream values(line);
        if (levels.empty()) {
            for (double value = 0.0; values >> value;) levels.push_back(value);
            continue;
        }
        columns.emplace_back();
        for (int value = 0; values >> value;) columns.back().push_back(static_cast<std::uint8_t>(value));
    }
    std::vector<toggle::StepWindow> windows;
    for (std::size_t i = 0; i < levels.size(); ++i) windows.push_back({i, 0.0, 1.0});
    std::vector<const toggle::Column*> others;
    for (std::size_t i = 1; i < columns.size(); ++i) others.push_back(&columns[i]);
    const std::vector<double> priors{0.0};
    const toggle::PinnedScores scores({levels}, priors, windows, others);
    const double true_score = scores.of(columns[0])[0];
    toggle::Column order = columns[0];
    std::sort(order.begin(), order.end());
    int orders = 0, as_good = 0;
    do {
        ++orders;
        as_good += scores.of(order)[0] >= true_score - 1e-9;
    } while (std::next_permutation(order.begin(), order.end()));
    std::printf("%.17g\n", static_cast<double>(as_good) / orders);
    std::vector<std::vector<double>> over;
    for (const toggle::Column& column : columns) over.push_back(toggle::over(windows, column));
    const toggle::Regression regression = toggle::regress(levels, over);
    for (std::size_t k = 0; k < regression.coefficients.size(); ++k)
        std::printf("%.17g %.17g\n", regression.coefficients[k], std::sqrt(regression.covariance[k][k]));
}
