#include "report/audible.h"

#include <algorithm>
#include <cmath>

#include "base/text/number.h"
#include "cause/hearing.h"

namespace tattletone::report {
namespace {

// -26 dBFS at 94 dB SPL is what data sheets of digital microphones give (common practice); gains differ.
constexpr double full_scale_db_spl = 120.0, sensitivity_unknown_db = 10.0;
constexpr double beyond_hearing_db = -100.0;  // where the table of the threshold ends

// A tone so far over the noise of its critical band is just heard: DIN 45681:2005, the masking index.
double masking_index_db(double hz) {
    return -2.0 - std::log10(1.0 + std::pow(hz / 502.0, 2.5));
}

}  // namespace

double audible_db(const tones::Tone& tone) {
    const double over_noise = tone.tone_to_noise_db - masking_index_db(tone.hz);
    const auto threshold = cause::hearing_threshold_db(tone.hz);
    return std::min(over_noise,
                    threshold ? tone.level_dbfs + full_scale_db_spl - *threshold : beyond_hearing_db + tone.level_dbfs);
}

bool hardly_audible(const tones::Tone& tone) {
    const double over_noise = tone.tone_to_noise_db - masking_index_db(tone.hz);
    return over_noise < 0.0 || audible_db(tone) < -sensitivity_unknown_db;
}

double shown_sd_hz(const match::Findings& findings, const tones::Tone& tone) {
    return std::hypot(tone.hz_sd, tone.hz * 1e-6 * findings.card_error_ppm_sd);
}

std::string known_frequency(const match::Findings& findings, const tones::Tone& tone) {
    return base::fixed(tone.hz, std::min(base::decimals_for(shown_sd_hz(findings, tone)), 2)) + " Hz";
}

bool drifts(const tones::Tone& tone) {
    return std::abs(tone.end_hz - tone.start_hz) > std::max(6.0 * tone.hz_sd, 1e-4 * tone.hz);
}

std::string loudness_words(const tones::Tone& tone) {
    constexpr double easy_db = 15.0, heard_db = 3.0;  // over the threshold, or over what the noise hides
    const double over = audible_db(tone);
    if (hardly_audible(tone)) return "hardly audible";
    return over >= easy_db ? "easy to hear" : over >= heard_db ? "audible" : "on the edge of hearing";
}

std::string frequency_words(const match::Findings& findings, const tones::Tone& tone) {
    return base::with_uncertainty(tone.hz, shown_sd_hz(findings, tone));
}

}  // namespace tattletone::report
