#pragma once

#include <string>
#include <vector>

namespace tattletone::match {

enum class Trial { state, part_off, moved_rate, sample_rate, room, far, longer, load, press, warm };

/// What one suspect expects of an experiment, told by its clearest tone.
struct Forecast {
    enum class Effect { stays, goes, moves, drifts, changes_level, is_in_room, falls, appears };
    std::string rate;          ///< full name; empty: something that nobody declared
    double probability = 0.0;  ///< now, that it makes the tone
    int tone = 0;              ///< id; 0 where a new tone appears
    double tone_hz = 0.0;      ///< where it is now, or where the new one appears
    Effect effect = Effect::stays;
    double hz = 0.0;     ///< where it goes; `moves` only
    double after = 0.0;  ///< the suspect's probability if this comes true
};

/// Something to do at the bench, with what it would tell.
struct Experiment {
    Trial kind = Trial::state;
    std::string what;                         ///< the state, part or rate; empty where there is none
    double hz = 0.0;                          ///< the rate's new value, or the sample rate
    std::string todo;                         ///< one sentence
    std::string caution;                      ///< empty where none is due
    std::string option;                       ///< how to give the recording afterwards: "--state idle=FILE"
    std::vector<Forecast> predictions;        ///< the likeliest suspect first
    double bits = 0.0;                        ///< expected drop of the entropy over who makes the tones
    double minutes = 0.0;                     ///< of effort, our estimate
    double sure_now = 0.0, sure_after = 0.0;  ///< probability of the likeliest answer, now and on average after
    double bits_per_minute() const { return minutes > 0.0 ? bits / minutes : 0.0; }
};

}  // namespace tattletone::match
