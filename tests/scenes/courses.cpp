#include "scenes/courses.h"

#include <algorithm>
#include <atomic>
#include <numeric>
#include <optional>
#include <set>
#include <thread>

#include "match/diagnose.h"
#include "match/experiments/experiments.h"
#include "support/names.h"
#include "tones/find_tones.h"

namespace tattletone::scenes {

namespace {

Tones heard(const AmbiguousUnit& unit, const Condition& condition, std::uint64_t take) {
    FindOptions options;
    options.threads = 1;
    return find_tones(unit.record(condition, take), options);
}

Take take_of(const AmbiguousUnit& unit, const Condition& condition, std::uint64_t index) {
    const BoardSheet& sheet = unit.sheet();
    Take take;
    take.path = std::to_string(index);
    take.state = sheet.states[static_cast<std::size_t>(condition.state)];
    take.spot = condition.spot;
    take.found = heard(unit, condition, index);
    if (condition.part_off >= 0)
        take.changes.push_back({sheet.parts[static_cast<std::size_t>(condition.part_off)].id, 0.0});
    if (condition.rate_off >= 0)
        take.changes.push_back({sheet.rates[static_cast<std::size_t>(condition.rate_off)].full_name, 0.0});
    if (condition.changed_rate >= 0)
        take.changes.push_back(
            {sheet.rates[static_cast<std::size_t>(condition.changed_rate)].full_name, condition.changed_hz});
    return take;
}

int rate_named(const BoardSheet& sheet, const std::string& name) {
    for (std::size_t i = 0; i < sheet.rates.size(); ++i)
        if (sheet.rates[i].full_name == name) return static_cast<int>(i);
    return -1;
}

int part_named(const BoardSheet& sheet, const std::string& id) {
    for (std::size_t i = 0; i < sheet.parts.size(); ++i)
        if (sheet.parts[i].id == id) return static_cast<int>(i);
    return -1;
}

class Sitting {
  public:
    Sitting(const AmbiguousUnit& unit, Policy policy) : unit_(unit), policy_(policy), random_(99) {
        base_.state = unit.first_state();
        add(base_);
    }

    Course run() {
        Course course;
        for (;;) {
            const Findings findings = diagnose(&unit_.sheet(), unite(takes_, room_ ? &*room_ : nullptr, far_));
            if (!findings.suspects.empty() && findings.suspects[0].probability >= sure_from) {
                const bool right = rate_named(unit_.sheet(), findings.suspects[0].rate) == unit_.culprit();
                (right ? course.solved : course.wrong) = true;
                return course;
            }
            if (course.experiments == most_experiments) return course;
            const auto chosen = choose(findings);
            if (!chosen) return course;
            ++course.experiments;
            course.minutes += effort_minutes(chosen->kind);
            perform(*chosen);
        }
    }

  private:
    void add(const Condition& condition) { takes_.push_back(take_of(unit_, condition, takes_.size() + 1)); }

    std::optional<Experiment> choose(const Findings& findings) {
        std::vector<Experiment> possible;
        // Where nothing was heard there is nothing to tell apart: the advice then is to record each state.
        const bool by_states = policy_ == Policy::states || (policy_ == Policy::next && findings.next.empty());
        if (!by_states && policy_ == Policy::next)
            for (const Experiment& experiment : findings.next) {
                const bool by_ear = experiment.kind == Trial::press || experiment.kind == Trial::warm;
                if (!by_ear && !done_.count({experiment.kind, experiment.what})) possible.push_back(experiment);
            }
        else
            possible = everything();
        if (by_states) std::erase_if(possible, [](const Experiment& e) { return e.kind != Trial::state; });
        if (possible.empty()) return std::nullopt;
        return policy_ == Policy::random ? random_.pick(possible) : possible[0];
    }

    std::vector<Experiment> everything() const {
        std::vector<Experiment> list;
        const auto offer = [&](Trial kind, const std::string& what, double hz) {
            if (done_.count({kind, what})) return;
            Experiment experiment;
            experiment.kind = kind;
            experiment.what = what;
            experiment.hz = hz;
            list.push_back(experiment);
        };
        const BoardSheet& sheet = unit_.sheet();
        for (std::size_t i = 0; i < sheet.states.size(); ++i)
            if (static_cast<int>(i) != base_.state) offer(Trial::state, sheet.states[i], 0.0);
        for (const Part& part : sheet.parts) offer(Trial::part_off, part.id, 0.0);
        for (const Rate& rate : sheet.rates) {
            if (rate.adjustable) offer(Trial::moved_rate, rate.full_name, 1.1 * rate.hz);
            if (rate.wanders()) offer(Trial::load, rate.full_name, 0.0);
        }
        offer(Trial::room, "", 0.0);
        offer(Trial::longer, "", 0.0);
        return list;
    }

    void perform(const Experiment& experiment) {
        done_.insert({experiment.kind, experiment.what});
        const BoardSheet& sheet = unit_.sheet();
        Condition condition = base_;
        switch (experiment.kind) {
            case Trial::state:
                condition.state = sheet.state_index(experiment.what);
                break;
            case Trial::part_off:
                condition.part_off = part_named(sheet, experiment.what);
                break;
            case Trial::load:
                condition.rate_off = rate_named(sheet, experiment.what);
                break;
            case Trial::moved_rate:
                condition.changed_rate = rate_named(sheet, experiment.what);
                condition.changed_hz = experiment.hz;
                break;
            case Trial::sample_rate:
                condition.sample_rate_hz = experiment.hz;
                break;
            case Trial::longer:
                condition.seconds = 30.0;
                break;
            case Trial::room:
                condition.board_unpowered = true;
                room_ = heard(unit_, condition, 77);
                return;
            case Trial::far:
                condition.fall_db = 24.0;
                far_.push_back(take_of(unit_, condition, 78));
                return;
            case Trial::press:
            case Trial::warm:
                return;
        }
        add(condition);
    }

    const AmbiguousUnit& unit_;
    Policy policy_;
    Random random_;
    Condition base_;
    std::vector<Take> takes_;
    std::optional<Tones> room_;
    std::vector<Take> far_;
    std::set<std::pair<Trial, std::string>> done_;
};

}  // namespace

const char* name_of(Policy policy) {
    constexpr const char* names[] = {"as next says", "at random", "the next state"};
    return names[static_cast<int>(policy)];
}

Course follow(const AmbiguousUnit& unit, Policy policy) {
    return Sitting(unit, policy).run();
}

std::vector<Condition> once(const AmbiguousUnit& unit) {
    Condition condition;
    condition.state = unit.first_state();
    return {condition};
}

std::vector<Condition> each_state(const AmbiguousUnit& unit) {
    std::vector<Condition> list = once(unit);
    for (int state = 0; state < static_cast<int>(unit.sheet().states.size()); ++state) {
        if (state == unit.first_state()) continue;
        list.push_back(list[0]);
        list.back().state = state;
    }
    return list;
}

std::vector<Condition> each_spot(const AmbiguousUnit& unit) {
    std::vector<Condition> list;
    for (const Part& part : unit.sheet().parts) {
        list.push_back(once(unit)[0]);
        list.back().spot = part.spot;
    }
    return list;
}

bool named_with(const AmbiguousUnit& unit, const std::vector<Condition>& conditions) {
    std::vector<Take> takes;
    for (const Condition& condition : conditions) takes.push_back(take_of(unit, condition, takes.size() + 1));
    const Findings findings = diagnose(&unit.sheet(), unite(std::move(takes), nullptr));
    return !findings.suspects.empty() && findings.suspects[0].probability >= 0.5 &&
           rate_named(unit.sheet(), findings.suspects[0].rate) == unit.culprit();
}

CourseScore score_courses(std::uint64_t first_seed, int units, Policy policy) {
    std::vector<Course> courses(static_cast<std::size_t>(units));
    std::atomic<int> next{0};
    const auto work = [&] {
        for (int i = next++; i < units; i = next++)
            courses[static_cast<std::size_t>(i)] =
                follow(AmbiguousUnit(first_seed + static_cast<std::uint64_t>(i)), policy);
    };
    {
        std::jthread other(work);
        work();
    }
    CourseScore score;
    score.units = units;
    std::vector<int> counts;
    for (const Course& course : courses) {
        score.solved += course.solved;
        score.wrong += course.wrong;
        counts.push_back(course.solved ? course.experiments : most_experiments + 1);
        if (course.solved) score.mean_minutes += course.minutes;
    }
    score.mean_minutes /= std::max(1, score.solved);
    score.mean_experiments = std::accumulate(counts.begin(), counts.end(), 0.0) / std::max(1, units);
    std::sort(counts.begin(), counts.end());
    if (units > 0) score.median_experiments = counts[counts.size() / 2];
    return score;
}

}  // namespace tattletone::scenes
