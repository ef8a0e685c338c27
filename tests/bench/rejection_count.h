#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "bench/rejection_numbers.h"
#include "bench/rejection_recordings.h"

namespace tattletone::bench {

struct Share {
    int count = 0, of = 0;
    double percent() const { return of > 0 ? 100.0 * count / of : 0.0; }
    /// 95 %, in per cent: E. B. Wilson, J. Am. Stat. Assoc. 22, 1927.
    std::pair<double, double> interval() const;
};

/// What a gate does to the lines and tones that pass as a board's where it does not work.
struct Effect {
    Share lost_made, lost_real;                    ///< of a board's lines: the cost
    Share kept_made, kept_real;                    ///< of foreign tones kept out: the saving
    int recordings_lost = 0, recordings_kept = 0;  ///< in how many either happens
    int gained = 0;                                ///< a board's lines that pass with the gate only
};

/// What passes as a board's in one recording or unit.
struct Passed {
    bool real = false;
    std::vector<char> known;
    std::vector<Tone> foreign;
};

class RejectionBench {
  public:
    explicit RejectionBench(Heard heard) : heard_(std::move(heard)) {}
    /// Of `number` at `value`, all others as they are, against its gate out of work.
    Effect effect(const LimitNumber& number, double value);
    /// Of its gate where no other judges the tones found: what several gates share, each has here.
    Effect alone(const LimitNumber& number);
    int recordings(bool real) const;
    const Heard& heard() const { return heard_; }

  private:
    std::vector<Passed> passed(Again again, const RejectionLimits& limits) const;
    Heard heard_;
    std::map<std::pair<int, void (*)(RejectionLimits&)>, std::vector<Passed>> without_;
    std::map<int, std::vector<Passed>> as_it_is_;
    std::vector<Passed> unjudged_;
};

Effect compare(const std::vector<Passed>& without, const std::vector<Passed>& with);

/// Voices and other sounds, ready to be judged.
struct SpeechBench {
    std::vector<SpeechMeter> voices, others;
    Share voices_heard(const SpeechLimits& limits) const;
    Share others_taken(const SpeechLimits& limits) const;
};

/// Real voices (spoken letters of one speaker joined) and other sounds, where they are there, and
/// simulated ones of each.
SpeechBench hear_speech(const std::string& shared, double share);

}  // namespace tattletone::bench
