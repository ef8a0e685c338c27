#include "report/text/undeclared.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "report/text/columns.h"

namespace tattletone::report {

const match::UndeclaredComb* undeclared_of(const match::Findings& findings, int tone_id) {
    for (const match::UndeclaredComb& comb : findings.undeclared)
        if (std::find(comb.tones.begin(), comb.tones.end(), tone_id) != comb.tones.end()) return &comb;
    return nullptr;
}

std::string fundamental_words(const match::Findings& findings, const match::UndeclaredComb& comb) {
    const double sd = std::hypot(comb.hz_sd, 1e-6 * findings.card_error_ppm_sd * comb.hz);
    return base::fixed(comb.hz, std::min(base::decimals_for(sd), 3)) + " Hz";
}

std::string undeclared_words(const match::Findings& findings, const match::UndeclaredComb& comb) {
    std::string text = std::to_string(comb.lines) + " lines at multiples of " + fundamental_words(findings, comb) +
                       " from " + base::short_hz(comb.low_hz) + " to " + base::short_hz(comb.high_hz) +
                       ", one source that nobody declared";
    if (comb.tones.empty())
        text += "; none of them was found alone";
    else if (static_cast<int>(comb.tones.size()) < comb.lines)
        text += "; " + std::to_string(comb.tones.size()) + " of them were found alone";
    if (comb.under_db >= 0.5) text += ", each some " + base::fixed(comb.under_db, 0) + " dB under what is found alone";
    return text;
}

std::string undeclared_line_words(const match::Findings& findings, const tones::UnitTone& tone) {
    const match::UndeclaredComb* const comb = undeclared_of(findings, tone.id);
    if (comb == nullptr) return {};
    return "line " + base::fixed(std::round(tone.tone.hz / comb->hz), 0) + " of something periodic at " +
           fundamental_words(findings, *comb);
}

}  // namespace tattletone::report
