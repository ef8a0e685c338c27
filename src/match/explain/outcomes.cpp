#include "match/explain/outcomes.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "match/explain/wording.h"
#include "match/model/observations.h"

namespace tattletone::match {
namespace {

constexpr int first_orders = 16;
constexpr double card_reach = 250e-6;  // five standard deviations of a sound card

struct Line {
    double before_hz = 0.0;
    bool could_tell = false, stayed = false;
    std::optional<double> moved_to_hz;
};

class Watching {
  public:
    Watching(const board::BoardSheet& sheet, const tones::UnitTones& unit, int take, int rate, double new_hz,
             double setting_sd)
        : unit_(unit),
          take_(take),
          rate_(sheet.rates[static_cast<std::size_t>(rate)]),
          new_hz_(new_hz),
          setting_sd_(setting_sd) {
        for (const tones::Take& other : unit.takes)
            before_.push_back(
                std::none_of(other.changes.begin(), other.changes.end(), [&](const tones::Change& change) {
                    return change.what == rate_.full_name ||
                           change.what == sheet.parts[static_cast<std::size_t>(rate_.part)].id;
                }));
    }

    std::vector<Line> lines() const {
        std::vector<Line> lines;
        for (const tones::UnitTone& tone : unit_.tones) {
            if (tone.tone.origin != tones::Origin::board && tone.tone.origin != tones::Origin::unsure) continue;
            const double order = rate_.wanders() ? 1.0 : std::round(tone.tone.hz / rate_.hz);
            const bool near = rate_.wanders() ? tone.tone.hz >= rate_.hz_min && tone.tone.hz <= rate_.hz_max
                                              : order >= 1.0 && order <= first_orders &&
                                                    std::abs(tone.tone.hz / (order * rate_.hz) - 1.0) <
                                                        rate_.tolerance_ppm * 1e-6 + card_reach;
            if (near && heard_before(tone)) lines.push_back(line_of(tone, order));
        }
        return lines;
    }

  private:
    bool heard_before(const tones::UnitTone& tone) const {
        return std::any_of(tone.heard_in.begin(), tone.heard_in.end(), [&](const tones::HeardIn& in) {
            return in.heard && before_[static_cast<std::size_t>(in.take)];
        });
    }

    const tones::HeardIn* in_take(const tones::UnitTone& tone) const {
        for (const tones::HeardIn& in : tone.heard_in)
            if (in.take == take_) return &in;
        return nullptr;
    }

    Line line_of(const tones::UnitTone& tone, double order) const {
        Line line;
        line.before_hz = tone.tone.hz;
        if (const tones::HeardIn* in = in_take(tone)) {
            line.stayed = in->heard;
            line.could_tell = in->heard || in->below_dbfs < tone.tone.level_dbfs;
        }
        if (new_hz_ <= 0.0) return line;
        const double expected_hz = tone.tone.hz + order * (new_hz_ - rate_.hz);
        for (const tones::UnitTone& other : unit_.tones) {
            const tones::HeardIn* in = in_take(other);
            const double off = std::abs(other.tone.hz / expected_hz - 1.0);
            if (!in || !in->heard || heard_before(other) || off > 3.0 * setting_sd_) continue;
            line.moved_to_hz = other.tone.hz;
        }
        return line;
    }

    const tones::UnitTones& unit_;
    int take_;
    const board::Rate& rate_;
    double new_hz_, setting_sd_;
    std::vector<char> before_;  ///< by take: made with the rate as the sheet has it
};

std::string listed(const std::vector<const Line*>& lines, bool after) {
    std::vector<std::string> words;
    for (std::size_t i = 0; i < lines.size() && i < 3; ++i)
        words.push_back(as_hz(after ? *lines[i]->moved_to_hz : lines[i]->before_hz));
    if (lines.size() > 3) words.push_back(std::to_string(lines.size() - 3) + " more");
    return joined(words);
}

std::optional<Outcome> told(const board::Rate& rate, double new_hz, const std::vector<Line>& lines) {
    std::vector<const Line*> moved, stayed, gone;
    for (const Line& line : lines)
        if (line.moved_to_hz)
            moved.push_back(&line);
        else if (line.stayed)
            stayed.push_back(&line);
        else if (line.could_tell)
            gone.push_back(&line);
    if (moved.empty() && stayed.empty() && gone.empty()) return std::nullopt;
    Outcome outcome;
    outcome.sentence = "with " + rate.full_name + (new_hz > 0.0 ? " at " + as_declared(new_hz) : " off") + ", ";
    const auto tones = [](const std::vector<const Line*>& list) {
        return (list.size() == 1 ? "the tone at " : "the tones at ") + listed(list, false);
    };
    if (!moved.empty()) {
        outcome.came_true = true;
        outcome.sentence += tones(moved) + " moved to " + listed(moved, true) + ", as " +
                            (moved.size() == 1 ? "its line" : "its lines") + " would";
        if (!stayed.empty())
            outcome.sentence +=
                "; " + tones(stayed) + " stayed and " + (stayed.size() == 1 ? "is" : "are") + " somebody else's";
    } else if (!stayed.empty()) {
        outcome.sentence += tones(stayed) + " stayed: not " + (stayed.size() == 1 ? "its line" : "its lines") +
                            ", unless the change did not take effect";
    } else if (new_hz > 0.0) {
        outcome.sentence +=
            tones(gone) + " went, and nothing was found where " + (gone.size() == 1 ? "it" : "they") + " should be now";
    } else {
        outcome.came_true = true;
        outcome.sentence += tones(gone) + (gone.size() == 1 ? " is" : " are") + " gone, as " +
                            (gone.size() == 1 ? "its line" : "its lines") + " would be";
    }
    return outcome;
}

}  // namespace

std::vector<Outcome> outcomes_of(const board::BoardSheet& sheet, const tones::UnitTones& unit,
                                 const MatchParameters& parameters) {
    std::vector<Outcome> outcomes;
    for (int take = 0; take < static_cast<int>(unit.takes.size()); ++take)
        for (const tones::Change& change : unit.takes[static_cast<std::size_t>(take)].changes)
            for (int index = 0; index < static_cast<int>(sheet.rates.size()); ++index) {
                const board::Rate& rate = sheet.rates[static_cast<std::size_t>(index)];
                const bool of_part = sheet.parts[static_cast<std::size_t>(rate.part)].id == change.what;
                if (rate.full_name != change.what && !(of_part && change.hz <= 0.0)) continue;
                auto outcome =
                    told(rate, change.hz, Watching(sheet, unit, take, index, change.hz, parameters.setting_sd).lines());
                if (!outcome) continue;
                outcome->take = take;
                outcome->rate = index;
                outcomes.push_back(std::move(*outcome));
            }
    return outcomes;
}

}  // namespace tattletone::match
