#include "match/experiments/experiments.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "match/experiments/trials.h"
#include "match/explain/wording.h"

namespace tattletone::match {
namespace {

constexpr double least_bits = 0.01, least_suspect = 0.02, least_foretold = 0.05;
constexpr std::size_t most_tones = 4, most_attributions = 40, most_predictions = 4;
constexpr int nobody = -1;

double entropy_bits(const std::vector<double>& probabilities) {
    double sum = 0.0, bits = 0.0;
    for (const double p : probabilities) sum += p;
    for (const double p : probabilities)
        if (p > 0.0) bits -= p / sum * std::log2(p / sum);
    return bits;
}

using Foreseen = std::vector<Effect>;  // by tone in question, then one for a line that emerges

bool looks_like(const Foreseen& a, const Foreseen& b) {
    return std::equal(a.begin(), a.end(), b.begin(), [](const Effect& x, const Effect& y) { return x.looks_like(y); });
}

/// A source in one way, with its tones in question.
struct ToneSource {
    int rate = nobody;
    std::vector<Attribution::Made> made;
    std::vector<std::size_t> slots;  // where they stand in an outcome
};

struct Weighed {
    double probability = 0.0;
    std::size_t group = 0;  // ways with the same sources
    std::vector<ToneSource> sources;
};

class Weighing {
  public:
    Weighing(const board::BoardSheet& sheet, const Findings& findings, const MatchParameters& parameters)
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
    // Those whose source is least certain; a tone that all ways explain alike tells nothing.
    void choose_tones() {
        std::map<int, std::map<int, double>> sources;
        for (const tones::UnitTone& tone : bench_.findings.unit.tones) {
            double made = 0.0;
            for (const Attribution& attribution : bench_.findings.attributions)
                for (const Attribution::Made& one : attribution.made)
                    if (one.tone == tone.id)
                        sources[tone.id][one.rate] += attribution.probability, made += attribution.probability;
            if (sources.count(tone.id)) sources[tone.id][nobody] = std::max(0.0, 1.0 - made);
        }
        std::vector<std::pair<double, int>> order;
        for (const auto& [id, shares] : sources) {
            std::vector<double> probabilities;
            for (const auto& [rate, share] : shares) probabilities.push_back(share);
            const double bits = entropy_bits(probabilities);
            if (bits > least_bits) order.emplace_back(-bits, id);
        }
        std::sort(order.begin(), order.end());
        for (std::size_t i = 0; i < order.size() && i < most_tones; ++i) tones_.push_back(order[i].second);
        for (const int id : tones_) shares_.push_back(sources[id]);
    }

    void group_ways() {
        std::map<std::vector<int>, std::size_t> groups;
        double total = 0.0;
        for (const Attribution& attribution : bench_.findings.attributions) {
            if (attributions_.size() == most_attributions) break;
            Weighed weighed;
            weighed.probability = attribution.probability;
            std::vector<int> sources;
            for (const Attribution::Made& made : attribution.made) {
                const auto tone = std::find(tones_.begin(), tones_.end(), made.tone);
                sources.push_back(made.rate);
                if (board::about(made.kind).partner == board::Partner::equal) sources.push_back(made.other);
                if (tone == tones_.end()) continue;
                auto source = std::find_if(weighed.sources.begin(), weighed.sources.end(),
                                           [&](const ToneSource& known) { return known.rate == made.rate; });
                if (source == weighed.sources.end()) source = weighed.sources.insert(source, {made.rate, {}, {}});
                source->made.push_back(made);
                source->slots.push_back(static_cast<std::size_t>(tone - tones_.begin()));
            }
            for (std::size_t slot = 0; slot < tones_.size(); ++slot) {
                const bool is_made =
                    std::any_of(attribution.made.begin(), attribution.made.end(),
                                [&](const Attribution::Made& made) { return made.tone == tones_[slot]; });
                if (!is_made) weighed.sources.push_back({nobody, {{tones_[slot], nobody}}, {slot}});
            }
            std::sort(sources.begin(), sources.end());
            sources.erase(std::unique(sources.begin(), sources.end()), sources.end());
            weighed.group = groups.emplace(sources, groups.size()).first->second;
            for (const int rate : sources) singing_[rate] += attribution.probability;
            total += attribution.probability;
            attributions_.push_back(std::move(weighed));
        }
        for (Weighed& attribution : attributions_) attribution.probability /= total;
        groups_ = groups.size();
    }

    std::vector<Alternative> of_source(const Experiment& experiment, const ToneSource& source) const {
        return alternatives(bench_, experiment, source.rate, source.made);
    }

    // Every outcome that a way foresees, without the unlikely ones.
    void foresee(const std::vector<std::vector<Alternative>>& by_source, const Weighed& attribution, std::size_t source,
                 double probability, Foreseen& outcome, std::vector<Foreseen>& all) const {
        if (probability < 0.004) return;
        if (source == by_source.size()) {
            const bool known =
                std::any_of(all.begin(), all.end(), [&](const Foreseen& other) { return looks_like(other, outcome); });
            if (!known) all.push_back(outcome);
            return;
        }
        for (const Alternative& alternative : by_source[source]) {
            for (std::size_t i = 0; i < attribution.sources[source].slots.size(); ++i)
                outcome[attribution.sources[source].slots[i]] = alternative.effects[i];
            foresee(by_source, attribution, source + 1, probability * alternative.probability, outcome, all);
        }
    }

    double probability_of(const Foreseen& outcome, const std::vector<std::vector<Alternative>>& by_source,
                          const Weighed& attribution) const {
        double product = 1.0;
        for (std::size_t source = 0; source < by_source.size(); ++source) {
            double sum = bench_.parameters.outcome_unforeseen;
            for (const Alternative& alternative : by_source[source]) {
                bool same = true;
                for (std::size_t i = 0; same && i < attribution.sources[source].slots.size(); ++i)
                    same = alternative.effects[i].looks_like(outcome[attribution.sources[source].slots[i]]);
                if (same) sum += alternative.probability;
            }
            product *= sum;
        }
        return product;
    }

    // A line that emerges is one more thing to see, whoever of the way's rates it is of.
    void add_emerging(const Experiment& experiment, Weighed& attribution,
                      std::vector<std::vector<Alternative>>& by_source) const {
        if (experiment.kind != Trial::longer) return;
        Effect none, some;
        double probability = bench_.parameters.line_emerges_anyway;
        for (const ToneSource& source : attribution.sources) {
            if (source.rate == nobody) continue;
            const Emerging line = emerging_line(bench_, source.rate);
            if (line.probability <= probability) continue;
            probability = line.probability;
            some = {Forecast::Effect::appears, line.hz};
        }
        attribution.sources.push_back({nobody, {}, {tones_.size()}});
        by_source.push_back({{1.0 - probability, {none}}, {probability, {some}}});
    }

    void weigh(Experiment& experiment) {
        std::vector<Weighed> attributions = attributions_;
        std::vector<std::vector<std::vector<Alternative>>> foreseen;
        std::vector<Foreseen> outcomes;
        for (Weighed& attribution : attributions) {
            std::vector<std::vector<Alternative>> by_source;
            for (const ToneSource& source : attribution.sources) by_source.push_back(of_source(experiment, source));
            add_emerging(experiment, attribution, by_source);
            Foreseen outcome(tones_.size() + 1);
            foresee(by_source, attribution, 0, 1.0, outcome, outcomes);
            foreseen.push_back(std::move(by_source));
        }
        std::vector<std::vector<double>> share(outcomes.size(), std::vector<double>(attributions.size(), 0.0));
        for (std::size_t w = 0; w < attributions.size(); ++w) {
            double sum = 0.0;
            for (std::size_t o = 0; o < outcomes.size(); ++o)
                sum += share[o][w] = probability_of(outcomes[o], foreseen[w], attributions[w]);
            for (auto& row : share) row[w] *= attributions[w].probability / sum;
        }
        const auto by_group = [&](const std::vector<double>& row) {
            std::vector<double> groups(groups_, 0.0);
            for (std::size_t w = 0; w < attributions.size(); ++w) groups[attributions[w].group] += row[w];
            return groups;
        };
        std::vector<double> now;
        for (const Weighed& attribution : attributions) now.push_back(attribution.probability);
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
        predict(experiment, attributions, outcomes, share);
    }

    // Told by the tone whose effects differ most between its sources, else by the least certain one.
    void predict(Experiment& experiment, const std::vector<Weighed>& attributions,
                 const std::vector<Foreseen>& outcomes, const std::vector<std::vector<double>>& share) const {
        if (experiment.kind == Trial::longer) return predict_lines(experiment, attributions, outcomes, share);
        std::size_t slot = 0;
        double most = -1.0;
        for (std::size_t i = 0; i < tones_.size(); ++i) {
            const double telling = difference(experiment, i);
            if (telling > most) most = telling, slot = i;
        }
        for (const auto& [rate, probability] : shares_[slot]) {
            if (probability < least_foretold) continue;
            const auto effects = effect_of(experiment, slot, rate);
            if (effects.empty()) continue;
            Forecast prediction;
            prediction.rate = rate == nobody ? "" : bench_.rate(rate).full_name;
            prediction.probability = probability;
            prediction.tone = tones_[slot];
            prediction.tone_hz = bench_.tone(tones_[slot]).tone.hz;
            prediction.effect = effects[0].effect;
            prediction.hz = effects[0].hz;
            prediction.after =
                after(attributions, outcomes, share, slot, effects[0], [&, rate = rate](const Weighed& attribution) {
                    return std::any_of(attribution.sources.begin(), attribution.sources.end(),
                                       [&, rate](const ToneSource& source) {
                                           return source.rate == rate &&
                                                  std::count(source.slots.begin(), source.slots.end(), slot) > 0;
                                       });
                });
            experiment.predictions.push_back(std::move(prediction));
        }
        in_order(experiment);
    }

    void predict_lines(Experiment& experiment, const std::vector<Weighed>& attributions,
                       const std::vector<Foreseen>& outcomes, const std::vector<std::vector<double>>& share) const {
        for (const int rate : bench_.suspects) {
            const Emerging line = emerging_line(bench_, rate);
            if (singing_.at(rate) < least_foretold || line.probability < least_foretold) continue;
            Forecast prediction;
            prediction.rate = bench_.rate(rate).full_name;
            prediction.probability = singing_.at(rate);
            prediction.effect = Forecast::Effect::appears;
            prediction.tone_hz = line.hz;
            prediction.after =
                after(attributions, outcomes, share, tones_.size(), {Forecast::Effect::appears, line.hz},
                      [&](const Weighed& attribution) {
                          return std::any_of(attribution.sources.begin(), attribution.sources.end(),
                                             [&](const ToneSource& source) { return source.rate == rate; });
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
    static double after(const std::vector<Weighed>& attributions, const std::vector<Foreseen>& outcomes,
                        const std::vector<std::vector<double>>& share, std::size_t slot, const Effect& effect,
                        Holds holds) {
        double with = 0.0, all = 1e-300;
        for (std::size_t o = 0; o < outcomes.size(); ++o) {
            if (!outcomes[o][slot].looks_like(effect)) continue;
            for (std::size_t w = 0; w < attributions.size(); ++w) {
                all += share[o][w];
                if (holds(attributions[w])) with += share[o][w];
            }
        }
        return with / all;
    }

    /// The likeliest effect of the tone if this rate makes it: one entry, or none where no way says so.
    std::vector<Effect> effect_of(const Experiment& experiment, std::size_t slot, int rate) const {
        for (const Weighed& attribution : attributions_)
            for (const ToneSource& source : attribution.sources)
                for (std::size_t i = 0; source.rate == rate && i < source.slots.size(); ++i)
                    if (source.slots[i] == slot) return {of_source(experiment, source)[0].effects[i]};
        return {};
    }

    double difference(const Experiment& experiment, std::size_t slot) const {
        std::vector<std::pair<Effect, double>> kinds;
        for (const auto& [rate, probability] : shares_[slot])
            for (const Effect& effect : effect_of(experiment, slot, rate)) {
                const auto known = std::find_if(kinds.begin(), kinds.end(),
                                                [&](const auto& kind) { return kind.first.looks_like(effect); });
                if (known != kinds.end())
                    known->second += probability;
                else
                    kinds.emplace_back(effect, probability);
            }
        std::vector<double> probabilities;
        for (const auto& [effect, probability] : kinds) probabilities.push_back(probability);
        return probabilities.empty() ? 0.0 : entropy_bits(probabilities);
    }

    TrialView bench_;
    std::vector<int> tones_;                     // ids, those in question
    std::vector<std::map<int, double>> shares_;  // of each: probability by source
    std::vector<Weighed> attributions_;
    std::size_t groups_ = 0;
    std::map<int, double> singing_;
};

}  // namespace

bool tells_apart(const Experiment& experiment) {
    using Kind = Forecast::Effect;
    const auto& all = experiment.predictions;
    return all.size() < 2 || std::any_of(all.begin() + 1, all.end(), [&](const Forecast& prediction) {
               return prediction.effect != all[0].effect ||
                      (prediction.effect == Kind::moves && as_hz(prediction.hz) != as_hz(all[0].hz)) ||
                      (prediction.effect == Kind::appears && as_hz(prediction.tone_hz) != as_hz(all[0].tone_hz));
           });
}

double effort_minutes(Trial trial) {
    switch (trial) {
        case Trial::state:
        case Trial::sample_rate:
        case Trial::room:
        case Trial::far:
        case Trial::longer:
            return 2.0;
        case Trial::press:
            return 3.0;
        case Trial::moved_rate:
            return 4.0;
        case Trial::part_off:
        case Trial::load:
        case Trial::warm:
            return 5.0;
    }
    return 5.0;
}

std::vector<std::string> states_left(const board::BoardSheet& sheet, const Findings& findings) {
    const auto rate = std::find_if(sheet.rates.begin(), sheet.rates.end(), [&](const board::Rate& each) {
        return !findings.suspects.empty() && each.full_name == findings.suspects[0].rate;
    });
    std::vector<std::string> left;
    for (const std::string& state : sheet.states) {
        const auto& takes = findings.unit.takes;
        if (std::none_of(takes.begin(), takes.end(), [&](const tones::Take& take) { return take.state == state; }))
            left.push_back(state);
    }
    if (rate != sheet.rates.end())
        std::stable_partition(left.begin(), left.end(),
                              [&](const std::string& state) { return !sheet.active(*rate, sheet.state_index(state)); });
    return left;
}

std::vector<Experiment> next_experiments(const board::BoardSheet& sheet, const Findings& findings,
                                         const MatchParameters& parameters) {
    return Weighing(sheet, findings, parameters).ranked();
}

}  // namespace tattletone::match
