#include "match/explain/rivals.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "base/text/number.h"
#include "match/explain/wording.h"

namespace tattletone::match {
namespace {

constexpr double least_rival = 0.05;                         // probabilities
constexpr double same_fundamental = 3e-4;                    // families whose fundamentals are this near are one
constexpr double same_source_share = 0.6;                    // of the tones that two tellings have in common
constexpr double hum_up_to_hz = 1000.0;                      // every room has multiples of the mains up to here
constexpr double note_low_hz = 60.0, note_high_hz = 2500.0;  // fundamentals of notes, common practice
constexpr double pitch_tolerance = 200e-6;                   // of the pitches below and of a sound card together

/// Pitches that much about the house has.
struct KnownPitch {
    double hz;
    RivalKind kind;
    const char* words;
};
constexpr KnownPitch known_pitches[] = {
    // Line rates of the two colour systems: ITU-R BT.470.
    {15625.0, RivalKind::television, "a television's line rate, 15 625 Hz"},
    {15734.266, RivalKind::television, "a television's line rate, 15 734 Hz"},
    // A watch crystal's 32 768 Hz, divided (common practice).
    {2048.0, RivalKind::notes, "an alarm or a beeper at 2048 Hz"},
    {4096.0, RivalKind::notes, "an alarm or a beeper at 4096 Hz"},
};

// Three digits are enough to know a line again.
std::string about_hz(double hz) {
    return hz < 1000.0 ? base::significant(hz, 3) + " Hz" : base::significant(hz / 1e3, 3) + " kHz";
}
std::string from_to_hz(double low, double high, const char* between) {
    const double unit = low < 1000.0 ? 1.0 : 1e3;
    return base::significant(low / unit, 3) + between + base::significant(high / unit, high / unit < 1000.0 ? 3 : 4) +
           (low < 1000.0 ? " Hz" : " kHz");
}

/// Claims on tones by one thing.
struct Claimed {
    std::map<int, double> share;  // by tone
    std::map<int, int> order;
    void add(int tone, double probability, int n) {
        double& sum = share[tone];
        sum = std::min(1.0, sum + probability);
        order[tone] = n;
    }
};

class Rivalry {
  public:
    Rivalry(const Observations& observations, const std::vector<Source>& sources, const JointPosterior* outcome,
            const Findings& findings)
        : observations_(observations), sources_(sources), outcome_(outcome), findings_(findings) {}

    std::vector<Rival> all() {
        if (outcome_ != nullptr) {
            sort_claims();
            machine();
            twins();
        }
        families();
        mains();
        mains_fed();
        moved_on();
        pitches();
        std::stable_sort(rivals_.begin(), rivals_.end(),
                         [](const Rival& a, const Rival& b) { return a.probability > b.probability; });
        return std::move(rivals_);
    }

  private:
    const ObservedTone& tone(int index) const { return observations_.tones[static_cast<std::size_t>(index)]; }

    double explained(int index) const {
        const auto known = findings_.explained_by.find(findings_.unit.tones[static_cast<std::size_t>(index)].id);
        double sum = 0.0;
        if (known != findings_.explained_by.end())
            for (const Explanation& explanation : known->second) sum += explanation.probability;
        return sum;
    }

    double known_to_hz(int index) const {
        const double card = outcome_ != nullptr ? outcome_->card_sd : 1e-6 * observations_.parameters.card_sd_ppm;
        return std::hypot(tone(index).sd_hz, card * tone(index).hz);
    }

    void sort_claims() {
        for (const Claim& claim : outcome_->claims) {
            const Source& source = sources_[static_cast<std::size_t>(claim.source)];
            if (source.rate >= 0) continue;
            const int order = claim.line_match.order;
            if (source.neighbour == Neighbour::mains) {
                const double base_hz = tone(claim.tone).mains_hz > 0.0 ? tone(claim.tone).mains_hz : source.mains_hz;
                mains_.add(claim.tone, claim.probability, static_cast<int>(std::lround(tone(claim.tone).hz / base_hz)));
            } else if (source.neighbour == Neighbour::machine) {
                machine_.add(claim.tone, claim.probability, order);
            } else if (source.neighbour == Neighbour::twin) {
                twins_[source.twin_of].add(claim.tone, claim.probability, order);
            } else {
                const double fundamental_hz = tone(claim.tone).hz / order;
                auto family = std::find_if(families_.begin(), families_.end(), [&](const auto& known) {
                    return std::abs(known.first / fundamental_hz - 1.0) < same_fundamental;
                });
                if (family == families_.end()) family = families_.insert(family, {fundamental_hz, {}});
                family->second.add(claim.tone, claim.probability, order);
            }
        }
    }

    /// None where it has too little of every tone.
    Rival* tell(RivalKind kind, const Claimed& claimed, std::size_t fewest = 1) {
        Rival rival;
        rival.kind = kind;
        for (const auto& [index, share] : claimed.share) rival.probability = std::max(rival.probability, share);
        if (rival.probability < least_rival) return nullptr;
        for (const auto& [index, share] : claimed.share) {
            if (share < std::max(least_rival, 0.3 * rival.probability)) continue;
            rival.tones.push_back(findings_.unit.tones[static_cast<std::size_t>(index)].id);
            rival.lowest_hz = rival.tones.size() == 1 ? tone(index).hz : std::min(rival.lowest_hz, tone(index).hz);
            rival.highest_hz = std::max(rival.highest_hz, tone(index).hz);
        }
        if (rival.tones.size() < fewest) return nullptr;
        rivals_.push_back(std::move(rival));
        return &rivals_.back();
    }

    /// The fundamental by the tone that knows it best.
    void set_fundamental(Rival& rival, const Claimed& claimed) const {
        rival.hz_sd = 1e9;
        for (const auto& [index, order] : claimed.order) {
            const double sd = known_to_hz(index) / order;
            if (order < 1 || sd >= rival.hz_sd) continue;
            rival.hz = tone(index).hz / order;
            rival.hz_sd = sd;
        }
        if (!(rival.hz > 0.0)) rival.hz_sd = 0.0;
    }

    static std::string fundamental(const Rival& rival) {
        return base::fixed(rival.hz, std::min(3, base::decimals_for(rival.hz_sd))) + " Hz";
    }

    void mains() {
        for (std::size_t i = 0; i < observations_.tones.size(); ++i) {
            const tones::Tone& tone = findings_.unit.tones[i].tone;
            if (tone.origin != tones::Origin::mains || tone.mains_multiple < 1 || tone.hz < hum_up_to_hz) continue;
            mains_.add(static_cast<int>(i), 1.0 - explained(static_cast<int>(i)), tone.mains_multiple);
        }
        Rival* rival = tell(RivalKind::mains, mains_);
        if (rival == nullptr) return;
        set_fundamental(*rival, mains_);
        rival->words = (rival->tones.size() == 1 ? "a multiple" : "multiples") + std::string(" of the mains at ") +
                       fundamental(*rival) + (rival->tones.size() == 1 ? ", at " : " up to ") +
                       about_hz(rival->highest_hz) + ": a dimmed lamp, a rectifier or a supply";
    }

    void machine() {
        Rival* rival = tell(RivalKind::machine, machine_, 2);
        if (rival == nullptr) return;
        set_fundamental(*rival, machine_);
        const std::size_t count = rival->tones.size();
        rival->words = (count == 2 ? "a pair of lines" : std::to_string(count) + " lines") + " that wander together (" +
                       from_to_hz(rival->lowest_hz, rival->highest_hz, count == 2 ? " and " : " to ") +
                       "): a motor or a fan";
    }

    bool in_a_comb(const Rival& rival) const {
        return std::any_of(findings_.undeclared.begin(), findings_.undeclared.end(), [&](const UndeclaredComb& comb) {
            const auto shared = std::count_if(rival.tones.begin(), rival.tones.end(), [&](int id) {
                return std::find(comb.tones.begin(), comb.tones.end(), id) != comb.tones.end();
            });
            return static_cast<double>(shared) >= same_source_share * static_cast<double>(rival.tones.size());
        });
    }

    std::vector<Rival> combs() const {
        std::vector<Rival> told;
        for (const UndeclaredComb& comb : findings_.undeclared) {
            Rival rival;
            rival.kind = RivalKind::device;
            rival.probability = comb.probability;
            rival.hz = comb.hz;
            rival.hz_sd = std::hypot(comb.hz_sd, 1e-6 * findings_.card_error_ppm_sd * comb.hz);
            rival.lowest_hz = comb.low_hz;
            rival.highest_hz = comb.high_hz;
            rival.tones = comb.tones;
            rival.undeclared = static_cast<int>(&comb - findings_.undeclared.data());
            told.push_back(std::move(rival));
        }
        return told;
    }

    std::string device_words(const Rival& rival) const {
        if (rival.undeclared < 0)
            return "another clocked device, or a part that the sheet does not have: " +
                   std::to_string(rival.tones.size()) + " lines at multiples of " + fundamental(rival);
        const UndeclaredComb& comb = findings_.undeclared[static_cast<std::size_t>(rival.undeclared)];
        std::string text = "something periodic at " + fundamental(rival) +
                           " that nobody declared, another clocked device or a part that the sheet does not have: " +
                           std::to_string(comb.lines) + " lines from " + about_hz(comb.low_hz) + " to " +
                           about_hz(comb.high_hz);
        if (comb.tones.empty())
            text += ", none found alone";
        else if (static_cast<int>(comb.tones.size()) < comb.lines)
            text += ", " + std::to_string(comb.tones.size()) + " of them found alone";
        if (comb.under_db >= 0.5)
            text += ", each some " + base::fixed(comb.under_db, 0) + " dB under what is found alone";
        return text;
    }

    void families() {
        std::erase_if(rivals_,
                      [&](const Rival& rival) { return rival.kind == RivalKind::machine && in_a_comb(rival); });
        std::vector<Rival> told = combs();
        for (const auto& [hz, claimed] : families_)
            if (Rival* rival = tell(RivalKind::device, claimed, 2)) {
                set_fundamental(*rival, claimed);
                if (!in_a_comb(*rival)) told.push_back(*rival);
                rivals_.pop_back();
            }
        const auto is_note = [](const Rival& rival) {
            return rival.hz > note_low_hz && rival.hz < note_high_hz && rival.probability >= 0.3;
        };
        const bool chord = std::count_if(told.begin(), told.end(), is_note) > 1;
        Rival notes;
        std::vector<double> pitches;
        for (Rival& rival : told) {
            if (!chord || !is_note(rival)) {
                rival.words = device_words(rival);
                rivals_.push_back(std::move(rival));
                continue;
            }
            notes.probability = std::max(notes.probability, rival.probability);
            notes.lowest_hz = pitches.empty() ? rival.lowest_hz : std::min(notes.lowest_hz, rival.lowest_hz);
            notes.highest_hz = std::max(notes.highest_hz, rival.highest_hz);
            notes.tones.insert(notes.tones.end(), rival.tones.begin(), rival.tones.end());
            pitches.push_back(rival.hz);
        }
        if (pitches.empty()) return;
        notes.kind = RivalKind::notes;
        std::sort(notes.tones.begin(), notes.tones.end());
        notes.tones.erase(std::unique(notes.tones.begin(), notes.tones.end()), notes.tones.end());
        std::sort(pitches.begin(), pitches.end());
        std::vector<std::string> words;
        for (const double hz : pitches) words.push_back(base::significant(hz, 3));
        notes.words = "held notes, as of music or an organ (" + joined(words) + " Hz with their harmonics)";
        rivals_.push_back(std::move(notes));
    }

    void twins() {
        for (const auto& [rate, claimed] : twins_) {
            Rival* rival = tell(RivalKind::twin, claimed);
            if (rival == nullptr) continue;
            rival->rate = observations_.sheet->rates[static_cast<std::size_t>(rate)].full_name;
            set_fundamental(*rival, claimed);
            const bool in_room = std::any_of(sources_.begin(), sources_.end(), [rate = rate](const Source& source) {
                return source.twin_of == rate && source.in_room;
            });
            rival->words =
                in_room ? "another board with the rate of " + rival->rate + " in the room"
                        : "another part on the clock of " + rival->rate + ", or its switching off did not take effect";
        }
    }

    Claimed by_elsewhere(ElsewhereKind kind) const {
        Claimed claimed;
        for (std::size_t i = 0; i < observations_.tones.size(); ++i) {
            const ObservedTone& tone = observations_.tones[i];
            if (!tone.accuses || tone.faint || tone.elsewhere != kind || !(tone.elsewhere_share > 0.0)) continue;
            const int index = static_cast<int>(i);
            claimed.add(index, std::max(0.0, 1.0 - explained(index)) * tone.elsewhere_share, 1);
        }
        return claimed;
    }

    void mains_fed() {
        const Claimed claimed = by_elsewhere(ElsewhereKind::mains_fed);
        Rival* rival = tell(RivalKind::mains_fed, claimed);
        if (rival == nullptr) return;
        double grid_hz = 50.0;
        for (const MainsHeard& mains : observations_.mains)
            if (mains.heard) grid_hz = mains.hz;
        rival->words = "a converter fed from the mains (a charger, a lamp's supply): moving lines at " +
                       (rival->tones.size() == 1 ? about_hz(rival->highest_hz)
                                                 : from_to_hz(rival->lowest_hz, rival->highest_hz, " to ")) +
                       " with sides at " + base::fixed(2.0 * grid_hz, 0) + " Hz";
    }

    void moved_on() {
        Rival* rival = tell(RivalKind::room, by_elsewhere(ElsewhereKind::room));
        if (rival == nullptr) return;
        rival->words = (rival->tones.size() == 1 ? "the room: a line at " + about_hz(rival->highest_hz) +
                                                       " like those of its recording, which come, go and move"
                                                 : "the room: " + std::to_string(rival->tones.size()) +
                                                       " lines like those of its recording, which come, go and move");
    }

    void pitches() {
        for (std::size_t i = 0; i < observations_.tones.size(); ++i) {
            const ObservedTone& tone = observations_.tones[i];
            if (!tone.of_board || tone.faint || !tone.steady) continue;
            for (const KnownPitch& pitch : known_pitches) {
                const double by_hz = std::hypot(pitch_tolerance * pitch.hz, 3.0 * tone.sd_hz);
                const double share = 1.0 - explained(static_cast<int>(i));
                if (std::abs(tone.hz - pitch.hz) > by_hz || share < least_rival) continue;
                Rival rival;
                rival.kind = pitch.kind;
                rival.probability = share;
                rival.hz = tone.hz;
                rival.hz_sd = known_to_hz(static_cast<int>(i));
                rival.lowest_hz = rival.highest_hz = tone.hz;
                rival.tones = {findings_.unit.tones[i].id};
                rival.words = pitch.words;
                rivals_.push_back(std::move(rival));
            }
        }
    }

    const Observations& observations_;
    const std::vector<Source>& sources_;
    const JointPosterior* outcome_;
    const Findings& findings_;
    Claimed mains_, machine_;
    std::map<int, Claimed> twins_;  // by rate
    std::vector<std::pair<double, Claimed>> families_;
    std::vector<Rival> rivals_;
};

}  // namespace

std::vector<Rival> rivals_of(const Observations& observations, const std::vector<Source>& sources,
                             const JointPosterior* outcome, const Findings& findings) {
    return Rivalry(observations, sources, outcome, findings).all();
}

std::string rival_name(Neighbour neighbour) {
    switch (neighbour) {
        case Neighbour::mains:
            return "a dimmed lamp, a rectifier or a supply on the mains";
        case Neighbour::machine:
            return "a motor or a fan";
        case Neighbour::twin:
            return "another part on the same clock";
        case Neighbour::family:
            return "another clocked device";
        case Neighbour::none:
            break;
    }
    return "something that nobody declared";
}

}  // namespace tattletone::match
