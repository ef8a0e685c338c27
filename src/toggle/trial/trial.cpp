#include "toggle/trial/trial.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <thread>

#include "toggle/trial/align.h"
#include "toggle/trial/draws.h"
#include "toggle/trial/effects.h"
#include "toggle/trial/pinned.h"

namespace tattletone::toggle {
namespace {

constexpr double pins_from = 18.0;  // a score so high is no chance: e^18 over all that is searched
constexpr std::size_t batch = 64;
constexpr long clear_draws_a_part = 1200, most_draws_a_part = 10000;
constexpr double makes_no_tone = 0.5;  // a part that goes with at most so much of a tone's power does not make it
constexpr double told_apart_from = 0.05;
constexpr double near_in_pitch = 0.15;
constexpr double longest_toggled_seconds = 1800.0, most_toggled_samples = 4e7;

/// All that does not depend on the plan's order.
struct Heard {
    Recorded recorded;
    std::vector<WatchedLine> lines;
    std::vector<LineLevels> levels;
    std::vector<double> log_priors;
};

struct Judged {
    double own_p = 1.0;
    std::vector<double> drawn;        ///< best scores of columns drawn anew
    std::vector<double> line_scores;  ///< of the true column
    long draws = 0;
    double next_p = 0.0;
    int pinned_by = -1;
};

int threads_of(const TrialOptions& options) {
    return options.threads > 0 ? options.threads : static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
}

class Referee {
  public:
    Referee(const Plan& plan, const Heard& heard, const TrialOptions& options)
        : plan_(plan),
          heard_(heard),
          options_(options),
          search_(heard.recorded, heard.levels, heard.log_priors),
          clear_draws_(options.draws > 0 ? options.draws : clear_draws_a_part * static_cast<long>(plan.parts.size())),
          most_draws_(options.draws > 0 ? options.draws : most_draws_a_part * static_cast<long>(plan.parts.size())),
          threads_(threads_of(options)) {}

    std::vector<Judged> judge() {
        std::vector<Judged> judged(plan_.columns.size());
        scores_ = search_.scores(plan_.columns, threads_);
        std::vector<std::size_t> open;
        for (std::size_t part = 0; part < judged.size(); ++part) {
            int by = -1;
            for (std::size_t other = 0; other < judged.size(); ++other)
                if (other != part && scores_[other] >= pins_from &&
                    (by < 0 || scores_[other] > scores_[static_cast<std::size_t>(by)]))
                    by = static_cast<int>(other);
            judged[part].pinned_by = by;
            if (by < 0)
                open.push_back(part);
            else
                judge_pinned(part, judged[part]);
        }
        judge_open(open, judged);
        return judged;
    }

    double score(std::size_t part) const { return scores_[part]; }
    const ColumnSearch& search() const { return search_; }

    struct Placed {
        Alignment alignment;
        std::vector<StepWindow> windows;
    };
    const Placed& placed_by(std::size_t part) {
        if (const auto known = placed_.find(part); known != placed_.end()) return known->second;
        const Match match = search_.best(plan_.columns[part]);
        const LineLevels& line = heard_.levels[match.line];
        Placed placed;
        placed.alignment = refined(heard_.recorded, line, plan_.columns[part], match);
        placed.windows = running_windows(heard_.recorded, line, plan_.columns[part], placed.alignment);
        return placed_[part] = std::move(placed);
    }

    std::vector<const Column*> others_of(std::size_t part) const {
        std::vector<const Column*> others;
        for (std::size_t i = 0; i < plan_.columns.size(); ++i)
            if (i != part) others.push_back(&plan_.columns[i]);
        return others;
    }

  private:
    bool fits(const Column& column, std::size_t part) const {
        const auto others = others_of(part);
        return std::all_of(others.begin(), others.end(),
                           [&](const Column* other) { return acceptable(column, *other); });
    }

    Draws no_draws() const { return {clear_draws_, most_draws_, options_.enough_better}; }

    // True when enough is known of this part.
    static bool count(Draws& draws, Judged& judged, double drawn, double true_score) {
        judged.drawn.push_back(drawn);
        draws.count(drawn >= true_score);
        if (!draws.enough()) return false;
        judged.draws = draws.drawn();
        judged.own_p = draws.p();
        judged.next_p = draws.next_p();
        return true;
    }

    // Start and pace come from another part's column, which stays as it is while this one is drawn anew.
    void judge_pinned(std::size_t part, Judged& judged) {
        const auto& windows = placed_by(static_cast<std::size_t>(judged.pinned_by)).windows;
        const PinnedScores scores(heard_.levels, heard_.log_priors, windows, others_of(part));
        judged.line_scores = scores.of(plan_.columns[part]);
        const double true_score = *std::max_element(judged.line_scores.begin(), judged.line_scores.end());
        Generator generator(stream(part));
        Draws draws = no_draws();
        for (bool done = false; !done;) {
            const Column column = draw_column(generator, plan_.steps());
            if (!fits(column, part)) continue;
            const auto drawn = scores.of(column);
            done = count(draws, judged, *std::max_element(drawn.begin(), drawn.end()), true_score);
        }
    }

    // Nothing else tells the start: every drawn column searches for it as the true one did.
    void judge_open(std::vector<std::size_t> open, std::vector<Judged>& judged) {
        Generator generator(stream(plan_.columns.size()));
        std::vector<Draws> draws(judged.size(), no_draws());
        while (!open.empty()) {
            std::vector<Column> columns;
            while (columns.size() < batch) columns.push_back(draw_column(generator, plan_.steps()));
            const std::vector<double> drawn = search_.scores(columns, threads_);
            for (std::size_t i = 0; i < columns.size(); ++i)
                std::erase_if(open, [&](std::size_t part) {
                    return fits(columns[i], part) && count(draws[part], judged[part], drawn[i], scores_[part]);
                });
        }
        for (std::size_t part = 0; part < judged.size(); ++part) {
            if (judged[part].pinned_by >= 0) continue;
            const auto& windows = placed_by(part).windows;
            judged[part].line_scores =
                PinnedScores(heard_.levels, heard_.log_priors, windows, {}).of(plan_.columns[part]);
        }
    }

    // Apart from every plan's own, which is the generator seeded with one number.
    Generator::result_type stream(std::size_t which) const {
        std::seed_seq sequence{std::uint32_t{0x706c616e}, static_cast<std::uint32_t>(options_.seed),
                               static_cast<std::uint32_t>(which)};
        std::uint32_t words[2];
        sequence.generate(std::begin(words), std::end(words));
        return Generator::result_type{words[0]} << 32 | words[1];
    }

    const Plan& plan_;
    const Heard& heard_;
    const TrialOptions& options_;
    ColumnSearch search_;
    long clear_draws_, most_draws_;
    int threads_;
    std::vector<double> scores_;
    std::map<std::size_t, Placed> placed_;  // by part
};

// Holm's step-down correction (S. Holm, Scand. J. Statist. 6, 1979): p by part, and what each is multiplied by.
std::vector<double> holm_factors(const std::vector<Judged>& judged) {
    std::vector<std::size_t> order(judged.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return judged[a].own_p < judged[b].own_p; });
    std::vector<double> factors(judged.size(), 1.0);
    double before = 0.0;
    for (std::size_t i = 0; i < order.size(); ++i) {
        const double own = judged[order[i]].own_p;
        const double corrected = std::max(before, std::min(1.0, own * static_cast<double>(order.size() - i)));
        factors[order[i]] = corrected / own;
        before = corrected;
    }
    return factors;
}

bool is_board_tone(const WatchedLine& line, const tones::UnitTones& unit) {
    if (line.kind != WatchedLine::Kind::tone) return false;
    return std::any_of(unit.tones.begin(), unit.tones.end(), [&](const tones::UnitTone& tone) {
        return tone.id == line.tone && tone.tone.origin == tones::Origin::board && !tone.tone.faint;
    });
}

// A tone that comes and goes takes its band and its neighbours along.
bool is_shadow(const WatchedLine& line, const WatchedLine& stronger, double window_seconds) {
    const double reach = std::max({line.half_width_hz, stronger.half_width_hz, 16.0 / window_seconds});
    return std::abs(line.hz - stronger.hz) <= reach &&
           (line.kind != WatchedLine::Kind::tone || stronger.kind == WatchedLine::Kind::tone) &&
           (line.kind != WatchedLine::Kind::tone || std::abs(line.hz - stronger.hz) <= 2.0 / window_seconds);
}

void tell_lines(const Judged& judged, double factor, const Heard& heard,
                const std::vector<std::vector<Effect>>& effects, std::size_t part, PartTrial& told) {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < heard.lines.size(); ++i) order.push_back(i);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        const bool tone_a = heard.lines[a].kind == WatchedLine::Kind::tone,
                   tone_b = heard.lines[b].kind == WatchedLine::Kind::tone;
        return tone_a != tone_b ? tone_a : judged.line_scores[a] > judged.line_scores[b];
    });
    const double window = heard.recorded.step_seconds - heard.recorded.settle_seconds;
    for (const std::size_t i : order) {
        const auto better = std::count_if(judged.drawn.begin(), judged.drawn.end(),
                                          [&](double drawn) { return drawn >= judged.line_scores[i]; });
        Effect effect = effects[i][part];
        effect.line = i;
        effect.p = std::min(1.0, factor * std::max(judged.own_p, static_cast<double>(better + 1) /
                                                                     static_cast<double>(judged.drawn.size() + 1)));
        if (effect.p > proven_p) continue;
        if (std::any_of(told.effects.begin(), told.effects.end(), [&](const Effect& known) {
                return is_shadow(heard.lines[i], heard.lines[known.line], window);
            }))
            continue;
        told.effects.push_back(effect);
        if (heard.lines[i].kind == WatchedLine::Kind::tone) told.tones.push_back(heard.lines[i].tone);
    }
    std::stable_sort(told.effects.begin(), told.effects.end(), [&](const Effect& a, const Effect& b) {
        return judged.line_scores[a.line] > judged.line_scores[b.line];
    });
    std::sort(told.tones.begin(), told.tones.end());
    for (const Effect& a : told.effects)
        for (const Effect& b : told.effects) {
            const double apart = std::abs(heard.lines[a.line].hz / heard.lines[b.line].hz - 1.0);
            if (heard.lines[a.line].kind != WatchedLine::Kind::band &&
                heard.lines[b.line].kind != WatchedLine::Kind::band && apart > 0.0 && apart <= near_in_pitch &&
                a.change_db > 0.0 && b.change_db < 0.0)
                told.moves_pitch = true;
        }
}

// Whether it makes none of the board's tones, and how long a plan would tell that where this one does not.
void acquit(const Trial& trial, const Heard& heard, const tones::UnitTones& unit, const Referee& referee,
            const std::vector<std::vector<Effect>>& effects, std::size_t part, PartTrial& told) {
    bool any = false, all = true;
    double worst = 0.0;
    std::vector<int> moved;
    for (std::size_t i = 0; i < heard.lines.size(); ++i) {
        if (!is_board_tone(heard.lines[i], unit)) continue;
        double most = 0.0;
        if (trial.alignment) {
            const auto shares = shares_at_most(heard.levels[i], trial.plan, trial.windows);
            most = shares.empty() ? 2.0 : shares[part];
            if (const Effect& effect = effects[i][part];
                told.effects.empty() || std::abs(effect.change_db) > std::abs(told.effects[0].change_db)) {
                told.effects = {effect};
                told.effects[0].line = i;
                told.effects[0].p = told.p;
            }
            told.change_most_db =
                std::max({told.change_most_db, std::abs(effects[i][part].low_db), std::abs(effects[i][part].high_db)});
        } else {
            const auto bound = referee.search().bound(heard.levels[i], heard.recorded, trial.plan.columns[part], i);
            most = bound.share;
            told.change_most_db = std::max(told.change_most_db, bound.change_db);
        }
        any = true;
        worst = std::max(worst, most);
        const auto known = std::find(told.unmoved.begin(), told.unmoved.end(), heard.lines[i].tone);
        if (most >= makes_no_tone) {
            // Of a tone that is watched in two ways, both must say so.
            all = false;
            if (known != told.unmoved.end()) told.unmoved.erase(known);
            moved.push_back(heard.lines[i].tone);
        } else if (known == told.unmoved.end() &&
                   std::find(moved.begin(), moved.end(), heard.lines[i].tone) == moved.end()) {
            told.unmoved.push_back(heard.lines[i].tone);
        }
    }
    if (any && all && told.p > told_apart_from) told.drives = false;
    if (any && !all) told.seconds_needed = trial.plan.seconds() * std::pow(worst / makes_no_tone, 2.0);
}

}  // namespace

std::optional<Error> too_long_to_try(const std::string& path, double seconds, double sample_rate_hz) {
    if (seconds <= longest_toggled_seconds && seconds * sample_rate_hz <= most_toggled_samples) return std::nullopt;
    return Error{path, "it is too long to be compared with a toggle plan",
                 "Give a recording of the plan alone, 30 minutes at most"};
}

Result<Trial> try_plan(const Plan& plan, const board::BoardSheet* sheet, const sound::Recording& recording,
                       const tones::UnitTones& unit, const tones::Tones& found, const TrialOptions& options) {
    Trial trial;
    trial.plan = plan;
    trial.recording = recording.origin;
    trial.seconds = recording.seconds();
    Heard heard;
    heard.recorded.seconds = recording.seconds();
    heard.recorded.step_seconds = plan.step_seconds;
    heard.recorded.settle_seconds = sheet != nullptr ? settle_seconds(*sheet, plan.parts) : 0.0;
    heard.recorded.steps = plan.steps();
    heard.recorded.lost = lost_spans(recording);
    if (plan.step_seconds < settles_a_step * heard.recorded.settle_seconds - 1e-6)
        return Error{recording.origin,
                     "the plan's steps are shorter than three settling times of its parts (settle_s in the sheet)",
                     "Draw the plan with this sheet"};
    const std::size_t whole = windows_of(heard.recorded, {0.0, 0.02}).size();
    const std::size_t fewest = fewest_steps(plan.parts.size());
    if (whole < fewest)
        return Error{recording.origin,
                     "it holds " + std::to_string(whole) + " whole steps of the toggle plan, too few to tell anything",
                     "Record " + std::to_string(fewest) + " steps or more, best the whole plan"};
    if (whole < plan.steps() * 9 / 10)
        trial.notices.push_back("Only " + std::to_string(whole) + " of the plan's " + std::to_string(plan.steps()) +
                                " steps can be heard in it.");
    const double window = plan.step_seconds - heard.recorded.settle_seconds;
    const Spectrum spectrum(recording);
    heard.lines = watched_lines(sheet, plan, unit, found.usable,
                                [&](double low_hz, double high_hz) { return spectrum.peak_between(low_hz, high_hz); });
    heard.levels = spectrum.levels_of(heard.lines, window, threads_of(options));
    for (const WatchedLine& line : heard.lines) heard.log_priors.push_back(line.log_prior);
    trial.lines = heard.lines;
    if (heard.lines.empty())
        return Error{recording.origin, "it has no band in which anything could be told", "Record it anew"};

    Referee referee(plan, heard, options);
    const std::vector<Judged> judged = referee.judge();
    const std::vector<double> factors = holm_factors(judged);
    int strongest = -1;
    for (std::size_t part = 0; part < judged.size(); ++part)
        if (judged[part].own_p * factors[part] <= proven_p &&
            (strongest < 0 || referee.score(part) > referee.score(static_cast<std::size_t>(strongest))))
            strongest = static_cast<int>(part);
    std::vector<std::vector<Effect>> effects;
    if (strongest >= 0) {
        const Referee::Placed& placed = referee.placed_by(static_cast<std::size_t>(strongest));
        Alignment alignment = placed.alignment;
        trial.windows = placed.windows;
        alignment.start_seconds = told_start(heard.recorded, trial.windows, alignment);
        trial.alignment = alignment;
        for (const LineLevels& levels : heard.levels) effects.push_back(effects_on(levels, plan, trial.windows));
    }
    for (std::size_t part = 0; part < judged.size(); ++part) {
        PartTrial told;
        told.part = plan.parts[part];
        told.p = judged[part].own_p * factors[part];
        told.next_p = judged[part].next_p * factors[part];
        told.draws = judged[part].draws;
        told.start_known = judged[part].pinned_by >= 0;
        if (told.p <= proven_p) {
            told.drives = true;
            tell_lines(judged[part], factors[part], heard, effects, part, told);
            if (!told.effects.empty()) {
                PictureLine drawn;
                drawn.line = told.effects[0].line;
                for (const StepWindow& w : trial.windows)
                    drawn.level_dbfs.push_back(10.0 *
                                               std::log10(heard.levels[drawn.line].within(w.from, w.to).line + 1e-20));
                trial.picture.push_back(std::move(drawn));
            }
        } else {
            acquit(trial, heard, unit, referee, effects, part, told);
        }
        trial.parts.push_back(std::move(told));
    }
    return trial;
}

}  // namespace tattletone::toggle
