// For compare_statistics.py: reads lines "TEST numbers…" and prints what src/logbook/statistics says.
// Lists are preceded by their length.

#include <iostream>
#include <string>
#include <vector>

#include "logbook/units/statistics.h"
#include "support/names.h"

using namespace tattletone;

namespace {
std::vector<double> list() {
    std::size_t count = 0;
    std::cin >> count;
    std::vector<double> values(count);
    for (double& value : values) std::cin >> value;
    return values;
}

void print(const std::optional<MeanDifference>& found) {
    if (!found)
        std::cout << "none\n";
    else
        std::cout << found->t << ' ' << found->p << ' ' << found->interval.low << ' ' << found->interval.high << '\n';
}
}  // namespace

int main() {
    std::cout.precision(17);
    for (std::string test; std::cin >> test;) {
        if (test == "welch" || test == "paired") {
            const auto first = list(), second = list();
            print(test == "welch" ? welch_t(first, second) : paired_t(first, second));
        } else if (test == "fisher") {
            int a = 0, b = 0, c = 0, d = 0;
            std::cin >> a >> b >> c >> d;
            std::cout << fisher_exact(a, b, c, d) << '\n';
        } else {
            int a = 0, b = 0;
            std::cin >> a >> b;
            if (test == "mcnemar") {
                std::cout << mcnemar_exact(a, b) << '\n';
                continue;
            }
            const Interval found = wilson_interval(a, b);
            std::cout << found.low << ' ' << found.high << '\n';
        }
    }
}
