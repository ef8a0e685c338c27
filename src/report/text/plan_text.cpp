#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/text/wrap.h"
#include "report/toggle_report.h"
#include "toggle/plan/power.h"

namespace tattletone::report {

std::string plan_text(const toggle::Plan& plan, const board::BoardSheet& sheet, const toggle::PlanWish& wish,
                      const std::vector<std::string>& written, int columns) {
    const double settle = toggle::settle_seconds(sheet, plan.parts);
    const std::string seconds = base::trimmed(plan.seconds(), 1);
    std::string parts;
    for (const std::string& part : plan.parts) parts += (parts.empty() ? "" : ", ") + part;
    std::string text =
        wrapped("A plan of " + std::to_string(plan.steps()) + " steps of " + base::trimmed(plan.step_seconds, 3) +
                    " s, " + seconds + " s in all, for " + parts + "; seed " + std::to_string(wish.seed) + ".",
                columns);
    for (const std::string& path : written) text += wrapped("Written: " + path, columns);
    if (written.empty())
        text += wrapped(
            "Nothing was written: give --csv FILE for the table and --c FILE for firmware. The same seed "
            "draws the same plan.",
            columns);
    if (settle > 0.0)
        text += wrapped("The first " + base::trimmed(settle, 3) + " s of each step are left out (settle_s).", columns);
    text += "\n" + wrapped(
                       "What it finds, nine times in ten, at p ≤ 0.001 (a steady tone at 4 kHz in even noise, and a "
                       "crystal's pace):",
                       columns);
    const toggle::Power power = toggle::power_of(plan, settle);
    text += wrapped(
        "one that goes away altogether: from " + base::fixed(power.whole_from_db, 0) + " dB tone-to-noise ratio on",
        columns, "  ", "    ");
    for (const double ratio : {-20.0, -10.0, 0.0, 10.0}) {
        const auto change = toggle::smallest_change_db(plan, settle, power.hz, ratio);
        if (change && ratio > power.whole_from_db)
            text += wrapped("one at " + base::trimmed(ratio, 0) + " dB: a change of " +
                                base::significant(std::max(0.1, *change), 2) + " dB",
                            columns, "  ", "    ");
    }
    text += "\n";
    if (wish.by_hand)
        text += wrapped(
            "'tattletone listen --toggle plan.csv --keep take.flac' tells when to switch what, and records "
            "meanwhile. A reaction that is a second late is no harm, if it is much the same at each step.",
            columns);
    else
        text += wrapped("Let the firmware run it through and through, and record " +
                            base::trimmed(std::ceil(plan.seconds()), 0) +
                            " s or a little more, the microphone near the board, from any moment on.",
                        columns);
    return text + wrapped("Then: tattletone examine take.flac --board SHEET --toggle plan.csv", columns);
}

}  // namespace tattletone::report
