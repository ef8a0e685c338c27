#include "match/experiments.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "match/trials.h"

namespace tattletone {
namespace {

constexpr double least_bits = 0.01, least_suspect = 0.02, least_told = 0.05;
constexpr std::size_t most_tones = 4, most_ways = 40, most_predictions = 4;
constexpr int nobody = -1;

double entropy_bits(const std::vector<double>& probabilities) {
    double sum = 0.0, bits = 0.0;
    for (const double p : probabilities) sum += p;
    for (const double p : probabilities)
        if (p > 0.0) bits -= p / sum * std::log2(p / sum);
    return bits;
}

using Outcome = std::vector<Fate>;       // by tone in question, then one for a line that emerges

bool looks_like(const Outcome& a, const Outcome& b) {
    return std::equal(a.begin(), a.end(), b.begin(), [](const Fate& x, const Fate& y) { return x.looks_like(y); });
}

/// A maker in one way, with its tones in question.
struct Maker {
    int rate = nobody;
    std::vector<Way::Made> made;
    std::vector<std::size_t> slots;      // where they stand in an outcome
};

struct Weighed {
    double probability = 0.0;
    std::size_t group = 0;               // ways with the same singers
    std::vector<Maker> makers;
};

class Weighing {
  public:
    Weighing(const BoardSheet& sheet, const Findings& findings, const MatchParameters& parameters)
        : bench_{sheet, findings, parameters, {}} {
        choose_tones();
        group_ways();
        for (const auto& [rate, probability] : singing_)
            if (rate != nobody && probability >= least_suspect) bench_.suspects.push_back(rate);
        std::stable_sort(bench_.suspects.begin(), bench_.suspects.end(),
                         [&](int a, int b) { return singing_[a] > singing_[b]; });
    }

    std::vector<Experiment> ranked() {
        if (tones_.empty()) return {};
        std::vector<Experiment> experiments;
        for (Experiment& experiment : possible_trials(bench_)) {
            experiment.minutes = effort_minutes(experiment.kind);
            weigh(experiment);
            if (experiment.bits >= least_bits) experiments.push_back(std::move(experiment));
        }
        std::stable_sort(experiments.begin(), experiments.end(), [](const Experiment& a, const Experiment& b) {
            return a.bits_per_minute() > b.bits_per_minute();
        });
        return experiments;
    }

  private:
    // Those whose maker is least certain; a tone that all ways explain alike tells nothing.
    void choose_tones() {
        std::map<int, std::map<int, double>> makers;
        for (const UnitTone& tone : bench_.findings.unit.tones) {
            double made = 0.0;
            for (const Way& way : bench_.findings.ways)
                for (const Way::Made& one : way.made)
                    if (one.tone == tone.id) makers[tone.id][one.rate] += way.probability, made += way.probability;
            if (makers.count(tone.id)) makers[tone.id][nobody] = std::max(0.0, 1.0 - made);
        }
        std::vector<std::pair<double, int>> order;
        for (const auto& [id, shares] : makers) {
            std::vector<double> probabilities;
            for (const auto& [rate, share] : shares) probabilities.push_back(share);
            const double bits = entropy_bits(probabilities);
            if (bits > least_bits) order.emplace_back(-bits, id);
        }
        std::sort(order.begin(), order.end());
        for (std::size_t i = 0; i < order.size() && i < most_tones; ++i) tones_.push_back(order[i].second);
        for (const int id : tones_) shares_.push_back(makers[id]);
    }

    void group_ways() {
        std::map<std::vector<int>, std::size_t> groups;
        double total = 0.0;
        for (const Way& way : bench_.findings.ways) {
            if (ways_.size() == most_ways) break;
            Weighed weighed;
            weighed.probability = way.probability;
            std::vector<int> singers;
            for (const Way::Made& made : way.made) {
                const auto tone = std::find(tones_.begin(), tones_.end(), made.tone);
                singers.push_back(made.rate);
                if (made.kind == LineKind::beat) singers.push_back(made.other);
                if (tone == tones_.end()) continue;
                auto maker = std::find_if(weighed.makers.begin(), weighed.makers.end(),
                                          [&](const Maker& known) { return known.rate == made.rate; });
                if (maker == weighed.makers.end()) maker = weighed.makers.insert(maker, {made.rate, {}, {}});
                maker->made.push_back(made);
                maker->slots.push_back(static_cast<std::size_t>(tone - tones_.begin()));
            }
            for (std::size_t slot = 0; slot < tones_.size(); ++slot) {
                const bool is_made = std::any_of(way.made.begin(), way.made.end(),
                                                 [&](const Way::Made& made) { return made.tone == tones_[slot]; });
                if (!is_made) weighed.makers.push_back({nobody, {{tones_[slot], nobody}}, {slot}});
            }
            std::sort(singers.begin(), singers.end());
            singers.erase(std::unique(singers.begin(), singers.end()), singers.end());
            weighed.group = groups.emplace(singers, groups.size()).first->second;
            for (const int rate : singers) singing_[rate] += way.probability;
            total += way.probability;
            ways_.push_back(std::move(weighed));
        }
        for (Weighed& way : ways_) way.probability /= total;
        groups_ = groups.size();
    }

    std::vector<Alternative> of_maker(const Experiment& experiment, const Maker& maker) const {
        return alternatives(bench_, experiment, maker.rate, maker.made);
    }

    // Every outcome that a way foresees, without the unlikely ones.
    void foresee(const std::vector<std::vector<Alternative>>& by_maker, const Weighed& way, std::size_t maker,
                 double probability, Outcome& outcome, std::vector<Outcome>& all) const {
        if (probability < 0.004) return;
        if (maker == by_maker.size()) {
            const bool known = std::any_of(all.begin(), all.end(),
                                           [&](const Outcome& other) { return looks_like(other, outcome); });
            if (!known) all.push_back(outcome);
            return;
        }
        for (const Alternative& alternative : by_maker[maker]) {
            for (std::size_t i = 0; i < way.makers[maker].slots.size(); ++i)
                outcome[way.makers[maker].slots[i]] = alternative.fates[i];
            foresee(by_maker, way, maker + 1, probability * alternative.probability, outcome, all);
        }
    }

    double probability_of(const Outcome& outcome, const std::vector<std::vector<Alternative>>& by_maker,
                          const Weighed& way) const {
        double product = 1.0;
        for (std::size_t maker = 0; maker < by_maker.size(); ++maker) {
            double sum = bench_.parameters.outcome_unforeseen;
            for (const Alternative& alternative : by_maker[maker]) {
                bool same = true;
                for (std::size_t i = 0; same && i < way.makers[maker].slots.size(); ++i)
                    same = alternative.fates[i].looks_like(outcome[way.makers[maker].slots[i]]);
                if (same) sum += alternative.probability;
            }
            product *= sum;
        }
        return product;
    }

    // A line that emerges is one more thing to see, whoever of the way's rates it is of.
    void add_emerging(const Experiment& experiment, Weighed& way,
                      std::vector<std::vector<Alternative>>& by_maker) const {
        if (experiment.kind != Trial::longer) return;
        Fate none, some;
        double probability = bench_.parameters.line_emerges_anyway;
        for (const Maker& maker : way.makers) {
            if (maker.rate == nobody) continue;
            const Emerging line = emerging_line(bench_, maker.rate);
            if (line.probability <= probability) continue;
            probability = line.probability;
            some = {Forecast::Fate::appears, line.hz};
        }
        way.makers.push_back({nobody, {}, {tones_.size()}});
        by_maker.push_back({{1.0 - probability, {none}}, {probability, {some}}});
    }

    void weigh(Experiment& experiment) {
        std::vector<Weighed> ways = ways_;
        std::vector<std::vector<std::vector<Alternative>>> foreseen;
        std::vector<Outcome> outcomes;
        for (Weighed& way : ways) {
            std::vector<std::vector<Alternative>> by_maker;
            for (const Maker& maker : way.makers) by_maker.push_back(of_maker(experiment, maker));
            add_emerging(experiment, way, by_maker);
            Outcome outcome(tones_.size() + 1);
            foresee(by_maker, way, 0, 1.0, outcome, outcomes);
            foreseen.push_back(std::move(by_maker));
        }
        std::vector<std::vector<double>> share(outcomes.size(), std::vector<double>(ways.size(), 0.0));
        for (std::size_t w = 0; w < ways.size(); ++w) {
            double sum = 0.0;
            for (std::size_t o = 0; o < outcomes.size(); ++o)
                sum += share[o][w] = probability_of(outcomes[o], foreseen[w], ways[w]);
            for (auto& row : share) row[w] *= ways[w].probability / sum;
        }
        const auto by_group = [&](const std::vector<double>& row) {
            std::vector<double> groups(groups_, 0.0);
            for (std::size_t w = 0; w < ways.size(); ++w) groups[ways[w].group] += row[w];
            return groups;
        };
        std::vector<double> now;
        for (const Weighed& way : ways) now.push_back(way.probability);
        const auto groups_now = by_group(now);
        experiment.bits = entropy_bits(groups_now);
        experiment.sure_now = *std::max_element(groups_now.begin(), groups_now.end());
        for (const auto& row : share) {
            const auto groups = by_group(row);
            double probability = 0.0;
            for (const double value : groups) probability += value;
            experiment.bits -= probability * entropy_bits(groups);
            experiment.sure_after += *std::max_element(groups.begin(), groups.end());
        }
        experiment.bits = std::max(experiment.bits, 0.0);
        predict(experiment, ways, outcomes, share);
    }

    // Told by the tone whose fates differ most between its makers, else by the least certain one.
    void predict(Experiment& experiment, const std::vector<Weighed>& ways, const std::vector<Outcome>& outcomes,
                 const std::vector<std::vector<double>>& share) const {
        if (experiment.kind == Trial::longer) return predict_lines(experiment, ways, outcomes, share);
        std::size_t slot = 0;
        double most = -1.0;
        for (std::size_t i = 0; i < tones_.size(); ++i) {
            const double telling = difference(experiment, i);
            if (telling > most) most = telling, slot = i;
        }
        for (const auto& [rate, probability] : shares_[slot]) {
            if (probability < least_told) continue;
            const auto fates = fate_of(experiment, slot, rate);
            if (fates.empty()) continue;
            Forecast prediction;
            prediction.rate = rate == nobody ? "" : bench_.rate(rate).full_name;
            prediction.probability = probability;
            prediction.tone = tones_[slot];
            prediction.tone_hz = bench_.tone(tones_[slot]).tone.hz;
            prediction.fate = fates[0].fate;
            prediction.hz = fates[0].hz;
            prediction.after = after(ways, outcomes, share, slot, fates[0], [&, rate = rate](const Weighed& way) {
                return std::any_of(way.makers.begin(), way.makers.end(), [&, rate](const Maker& maker) {
                    return maker.rate == rate && std::count(maker.slots.begin(), maker.slots.end(), slot) > 0;
                });
            });
            experiment.predictions.push_back(std::move(prediction));
        }
        in_order(experiment);
    }

    void predict_lines(Experiment& experiment, const std::vector<Weighed>& ways, const std::vector<Outcome>& outcomes,
                       const std::vector<std::vector<double>>& share) const {
        for (const int rate : bench_.suspects) {
            const Emerging line = emerging_line(bench_, rate);
            if (singing_.at(rate) < least_told || line.probability < least_told) continue;
            Forecast prediction;
            prediction.rate = bench_.rate(rate).full_name;
            prediction.probability = singing_.at(rate);
            prediction.fate = Forecast::Fate::appears;
            prediction.tone_hz = line.hz;
            prediction.after = after(ways, outcomes, share, tones_.size(), {Forecast::Fate::appears, line.hz},
                                     [&](const Weighed& way) {
                                         return std::any_of(way.makers.begin(), way.makers.end(),
                                                            [&](const Maker& maker) { return maker.rate == rate; });
                                     });
            experiment.predictions.push_back(std::move(prediction));
        }
        in_order(experiment);
    }

    static void in_order(Experiment& experiment) {
        std::stable_sort(experiment.predictions.begin(), experiment.predictions.end(),
                         [](const Forecast& a, const Forecast& b) { return a.probability > b.probability; });
        if (experiment.predictions.size() > most_predictions) experiment.predictions.resize(most_predictions);
    }

    template <class Holds>
    static double after(const std::vector<Weighed>& ways, const std::vector<Outcome>& outcomes,
                        const std::vector<std::vector<double>>& share, std::size_t slot, const Fate& fate,
                        Holds holds) {
        double with = 0.0, all = 1e-300;
        for (std::size_t o = 0; o < outcomes.size(); ++o) {
            if (!outcomes[o][slot].looks_like(fate)) continue;
            for (std::size_t w = 0; w < ways.size(); ++w) {
                all += share[o][w];
                if (holds(ways[w])) with += share[o][w];
            }
        }
        return with / all;
    }

    /// The likeliest fate of the tone if this rate makes it: one entry, or none where no way says so.
    std::vector<Fate> fate_of(const Experiment& experiment, std::size_t slot, int rate) const {
        for (const Weighed& way : ways_)
            for (const Maker& maker : way.makers)
                for (std::size_t i = 0; maker.rate == rate && i < maker.slots.size(); ++i)
                    if (maker.slots[i] == slot) return {of_maker(experiment, maker)[0].fates[i]};
        return {};
    }

    double difference(const Experiment& experiment, std::size_t slot) const {
        std::vector<std::pair<Fate, double>> kinds;
        for (const auto& [rate, probability] : shares_[slot])
            for (const Fate& fate : fate_of(experiment, slot, rate)) {
                const auto known = std::find_if(kinds.begin(), kinds.end(),
                                                [&](const auto& kind) { return kind.first.looks_like(fate); });
                if (known != kinds.end())
                    known->second += probability;
                else
                    kinds.emplace_back(fate, probability);
            }
        std::vector<double> probabilities;
        for (const auto& [fate, probability] : kinds) probabilities.push_back(probability);
        return probabilities.empty() ? 0.0 : entropy_bits(probabilities);
    }

    TrialView bench_;
    std::vector<int> tones_;                             // ids, those in question
    std::vector<std::map<int, double>> shares_;          // of each: probability by maker
    std::vector<Weighed> ways_;
    std::size_t groups_ = 0;
    std::map<int, double> singing_;
};

}  // namespace

double effort_minutes(Trial trial) {
    switch (trial) {
        case Trial::state: return 2.0;
        case Trial::part_off: return 5.0;
        case Trial::moved_rate: return 4.0;
        case Trial::sample_rate: return 2.0;
        case Trial::room: return 2.0;
        case Trial::longer: return 2.0;
        case Trial::load: return 5.0;
        case Trial::press: return 3.0;
        case Trial::warm: return 5.0;
    }
    return 5.0;
}

std::vector<Experiment> next_experiments(const BoardSheet& sheet, const Findings& findings,
                                         const MatchParameters& parameters) {
    return Weighing(sheet, findings, parameters).ranked();
}

}  // namespace tattletone
