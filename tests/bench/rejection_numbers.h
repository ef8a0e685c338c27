#pragma once

#include <string>
#include <variant>
#include <vector>

#include "support/names.h"
#include "tones/judge/rejection_limits.h"
#include "tones/judge/speech.h"

namespace tattletone::bench {

/// What has to run again when a number changes.
enum class Again { gates, search, faint, faint_search, room };

/// One number of a gate, and how the gate is put out of work.
struct LimitNumber {
    const char* name;
    std::variant<double RejectionLimits::*, int RejectionLimits::*> member;
    Again again;
    void (*off)(RejectionLimits&);
    std::vector<double> others = {};  ///< values to try; empty: 0.7 and 1.4 times its own

    /// Whether the gate judges tones that are found, by themselves.
    bool judges() const;
    double get(const RejectionLimits& limits) const;
    void set(RejectionLimits& limits, double value) const;
};

const std::vector<LimitNumber>& limit_numbers();

/// A number of what sounds like speech, and the value that leaves its condition out.
struct SpeechNumber {
    const char* name;
    double SpeechLimits::*member;
    double off;
};

const std::vector<SpeechNumber>& speech_numbers();

/// To 0.7 and 1.4 times, whole where the number is.
std::vector<double> other_values(const LimitNumber& number);

/// `RejectionLimits::room_sds` below this: no recording of the room is given.
inline constexpr double without_room = -1.0;

}  // namespace tattletone::bench
