#include "bench/match_boards.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "support/boards.h"
#include "support/names.h"
#include "support/random.h"

namespace tattletone::bench {
namespace {

using scenes::Random;

constexpr double seconds = 10.0;

/// A smooth curve over log frequency: normal values every third of an octave, joined by lines.
class Curve {
  public:
    Curve(Random& random, double sd) {
        for (double& value : values_) value = sd * random.normal();
    }
    double at(double hz) const {
        const double position = std::clamp(3.0 * std::log2(std::max(hz, 20.0) / 20.0), 0.0, 34.0);
        const auto index = static_cast<std::size_t>(position);
        const double part = position - static_cast<double>(index);
        return values_[index] + part * (values_[index + 1] - values_[index]);
    }

  private:
    std::array<double, 40> values_{};
};

/// A line as it really is, before anybody listens.
struct TrueLine {
    double hz = 0.0, level_db = 0.0;  ///< level against the source's strongest line
};

struct Source {
    int rate = -1;
    std::vector<TrueLine> lines;
    double strongest_db = 0.0;  ///< of the strongest line over the threshold, in the first take it is in
    bool moves = false;
    double drift = 0.0;  ///< ln(end / start)
    std::vector<char> in_take;
    Origin origin = Origin::board;
};

class Unit {
  public:
    explicit Unit(std::uint64_t seed) : random_(seed), resonance_(random_, 7.0), floor_shape_(random_, 2.5) {}

    DrawnUnit draw() {
        board();
        takes();
        culprits();
        strangers();
        rooms();
        listen();
        return std::move(unit_);
    }

  private:
    void board() {
        auto drawn = scenes::draw_board(random_.between(1, 20), random_);
        unit_.sheet = std::move(drawn.sheet);
        timing_ = std::move(drawn.timing);
        unit_.guilty.assign(unit_.sheet.rates.size(), 0);
        if (random_.chance(0.35)) {
            unit_.sheet.states = {"idle", "busy"};
            for (Rate& rate : unit_.sheet.rates)
                if (random_.chance(0.4)) rate.active_in = {random_.below(2)};
        }
    }

    void takes() {
        const int states = static_cast<int>(unit_.sheet.states.size());
        const int count = states == 0 ? (random_.chance(0.1) ? 2 : 1) : random_.chance(0.8) ? 2 : 1;
        const double high_hz = random_.chance(0.65) ? 20000.0 : random_.chance(0.6) ? 16000.0 : 8000.0;
        const double base_db = random_.uniform(-110.0, -90.0), tilt = random_.uniform(-5.0, -1.0);
        for (int i = 0; i < count; ++i) {
            Take take;
            if (states > 0 && random_.chance(0.9)) take.state = unit_.sheet.states[static_cast<std::size_t>(i)];
            state_.push_back(states > 0 ? i : -1);
            take.found.sample_rate_hz = 48000.0;
            take.found.seconds = seconds;
            take.found.usable = {40.0, high_hz};
            const double more = random_.uniform(-3.0, 3.0);
            for (double hz = 40.0; hz <= high_hz * 1.0001; hz *= std::pow(2.0, 0.25)) {
                const double steady = base_db + more + tilt * std::log2(hz / 1000.0) + floor_shape_.at(hz);
                take.found.floor.push_back({hz, steady - 5.0, steady, steady + 4.0});
            }
            unit_.tones.takes.push_back(std::move(take));
        }
        card_ = 50e-6 * random_.cut_normal(3.0);
    }

    double threshold(std::size_t take, double hz, bool moves) const {
        const FloorPoint floor = floor_at(unit_.tones.takes[take].found, hz);
        return moves ? floor.wandering_above_dbfs : floor.steady_above_dbfs;
    }

    bool audible(double hz) const { return hz >= 40.0 && hz <= unit_.tones.takes[0].found.usable.high_hz; }

    void culprits() {
        const double draw = random_.uniform();
        const int wanted = draw < 0.35 ? 0 : draw < 0.8 ? 1 : draw < 0.95 ? 2 : 3;
        const int rates = static_cast<int>(unit_.sheet.rates.size());
        for (int tries = 0, found = 0; tries < 30 && found < wanted; ++tries) {
            const int index = random_.below(rates);
            const bool known = std::any_of(sources_.begin(), sources_.end(),
                                           [&](const Source& source) { return source.rate == index; });
            if (!known && add_culprit(index)) ++found;
        }
    }

    bool add_culprit(int index) {
        const auto at = static_cast<std::size_t>(index);
        const Rate& rate = unit_.sheet.rates[at];
        Source source;
        source.rate = index;
        double hz = rate.hz;
        if (rate.wanders()) {
            hz = random_.log_uniform(rate.hz_min, std::min(rate.hz_max, 18000.0));
            source.moves = random_.chance(0.9);
            source.drift = random_.log_uniform(0.003, 0.1) * (random_.chance(0.6) ? -1.0 : 1.0);
        } else {
            const double tolerance = 1e-6 * rate.tolerance_ppm;
            hz *= 1.0 + (random_.chance(0.01) ? 0.03 * random_.normal() : 0.5 * tolerance * random_.cut_normal(2.0));
            if (timing_[at] == scenes::Timing::resistor_capacitor && random_.chance(0.3)) {
                source.moves = true;
                source.drift = random_.log_uniform(0.0002, 0.003) * (random_.chance(0.5) ? -1.0 : 1.0);
            }
        }
        if (hz > 25000.0 && !random_.chance(0.2)) return false;
        drive_lines(rate, hz, source);
        relations(index, hz, source);
        std::erase_if(source.lines, [&](const TrueLine& line) { return !audible(line.hz); });
        if (source.lines.empty()) return false;
        source.strongest_db = random_.uniform(0.0, 40.0);
        for (const int state : state_) {
            const bool runs = rate.active_in.empty() || state < 0 || rate.active_in[0] == state;
            source.in_take.push_back(random_.chance(runs ? 0.9 : 0.005));
        }
        if (std::none_of(source.in_take.begin(), source.in_take.end(), [](char in) { return in; })) return false;
        add(std::move(source));
        return true;
    }

    void drive_lines(const Rate& rate, double hz, Source& source) {
        const double duty = rate.shape == Shape::pulse ? random_.log_uniform(0.02, 0.45)
                                                       : 0.5 + (random_.chance(0.5) ? 0.0 : 0.04 * random_.normal());
        const double mechanism = random_.uniform();
        for (int n = 1; n <= 64 && n * hz < 24000.0; ++n) {
            double amplitude = std::abs(std::sin(std::numbers::pi * n * duty)) / n;
            // Some of the force follows the square of the drive: even lines of a square wave.
            if (rate.shape == Shape::square && n % 2 == 0)
                amplitude = std::max(amplitude, 0.02 / n * random_.uniform(0, 4));
            if (rate.shape == Shape::sine) {
                const double first = mechanism < 0.6 ? 1.0 : mechanism < 0.85 ? 0.05 : 0.5;
                const double second = mechanism < 0.6 ? 0.1 : mechanism < 0.85 ? 1.0 : 0.6;
                amplitude = n == 1 ? first : n == 2 ? second : 0.03 * random_.uniform() / n;
            }
            source.lines.push_back({n * hz, 20.0 * std::log10(amplitude + 1e-6) + response(n * hz)});
        }
    }

    double response(double hz) {
        const double radiation = hz < 3000.0 ? 6.0 * std::log2(hz / 3000.0) : 0.0;
        return radiation + resonance_.at(hz) + 4.0 * random_.normal();
    }

    void relations(int index, double hz, Source& source) {
        const double first = source.lines.empty() ? 0.0 : source.lines[0].level_db;
        if (random_.chance(0.05) || hz > 20000.0)
            for (const double half : {0.5, 1.5, 2.5})
                if (random_.chance(0.6)) source.lines.push_back({half * hz, first - random_.uniform(0.0, 15.0)});
        if (!random_.chance(0.08)) return;
        for (std::size_t other = 0; other < unit_.sheet.rates.size(); ++other) {
            const Rate& slow = unit_.sheet.rates[other];
            if (static_cast<int>(other) == index || slow.wanders() || slow.hz > 1000.0 || slow.hz > 0.5 * hz) continue;
            const double by = slow.hz * (1.0 + 0.5e-6 * slow.tolerance_ppm * random_.cut_normal(2.0));
            for (int n = 1; n <= 3 && n <= static_cast<int>(source.lines.size()); ++n)
                for (const int side : {-1, 1})
                    source.lines.push_back({n * hz + side * by, first - random_.uniform(6.0, 20.0)});
            return;
        }
    }

    void add(Source source) { sources_.push_back(std::move(source)); }

    std::vector<char> some_takes() {
        std::vector<char> in;
        for (std::size_t i = 0; i < state_.size(); ++i) in.push_back(random_.chance(0.7));
        if (std::none_of(in.begin(), in.end(), [](char is) { return is; })) in[0] = 1;
        return in;
    }

    void strangers() {
        const double draw = random_.uniform();
        const double mean = draw < 0.2 ? 0.0 : draw < 0.5 ? 1.0 : draw < 0.85 ? 4.0 : 14.0;
        for (double left = -std::log(1.0 - random_.uniform()); left < mean; left -= std::log(1.0 - random_.uniform())) {
            Source source;
            const double hz = random_.chance(0.4) ? random_.log_uniform(60, 1000) : random_.log_uniform(1000, 19000);
            source.lines = {{hz, 0.0}};
            source.strongest_db = random_.chance(0.5) ? random_.uniform(0.0, 10.0) : random_.uniform(0.0, 35.0);
            source.moves = random_.chance(0.12);
            source.drift = random_.log_uniform(0.0003, 0.1) * (random_.chance(0.5) ? -1.0 : 1.0);
            source.in_take = some_takes();
            add(std::move(source));
        }
        if (mean > 2.0)
            for (int i = random_.below(8); i > 0; --i) {
                Source source;
                source.lines = {{random_.log_uniform(80, 15000), 0.0}};
                source.strongest_db = random_.uniform(0.0, 15.0);
                source.origin = Origin::unsure;
                source.in_take = some_takes();
                add(std::move(source));
            }
        if (!random_.chance(0.12)) return;
        Source family;
        const double hz = random_.log_uniform(60, 8000);
        for (int n = 1; n <= 12; ++n)
            if (random_.chance(0.7) && audible(n * hz))
                family.lines.push_back({n * hz, -12.0 * std::log10(n) + 7.0 * random_.normal()});
        if (family.lines.empty()) return;
        family.strongest_db = random_.uniform(3.0, 30.0);
        family.moves = random_.chance(0.2);
        family.drift = random_.log_uniform(0.001, 0.1);
        family.in_take = some_takes();
        add(std::move(family));
    }

    void rooms() {
        std::vector<char> all(state_.size(), 1);
        if (random_.chance(0.5)) {
            Source mains;
            const double hz = (random_.chance(0.6) ? 100.0 : 120.0) * (1.0 + 0.0004 * random_.normal());
            for (int n = 1; n <= random_.between(1, 8); ++n) mains.lines.push_back({n * hz, 6.0 * random_.normal()});
            mains.strongest_db = random_.uniform(5.0, 30.0);
            mains.origin = Origin::mains;
            mains.in_take = all;
            add(std::move(mains));
        }
        for (int i = random_.chance(0.3) ? random_.between(1, 4) : 0; i > 0; --i) {
            Source room;
            room.lines = {{random_.log_uniform(60, 12000), 0.0}};
            room.strongest_db = random_.uniform(0.0, 25.0);
            room.origin = Origin::room;
            room.in_take = all;
            add(std::move(room));
        }
    }

    /// What the tone finder lists of a source in a take.
    void hear(const Source& source, std::size_t take, double gain_db) {
        if (!source.in_take[take]) return;
        for (const TrueLine& line : source.lines) {
            if (!audible(line.hz)) continue;
            const double above = threshold(take, line.hz, source.moves);
            const double level = line.level_db + gain_db + 2.0 * random_.normal();
            if (level + 1.0 * random_.normal() < above) continue;
            Tone tone;
            const double over = level - above;
            tone.hz_sd = std::max(1e-5, 0.012 * std::pow(10.0, -over / 20.0));
            if (source.moves) tone.hz_sd = std::max(tone.hz_sd, 2e-5 * line.hz);
            const double true_hz = line.hz * (1.0 + card_) + tone.hz_sd * random_.normal();
            tone.hz = true_hz;
            tone.level_dbfs = level;
            tone.tone_to_noise_db = over - 20.0;
            tone.start_hz = tone.end_hz = true_hz;
            tone.origin = source.origin;
            if (source.moves) {
                tone.steady = false;
                const double drift = source.drift * (1.0 + 0.05 * random_.normal());
                tone.start_hz = true_hz * std::exp(-0.5 * drift);
                tone.end_hz = true_hz * std::exp(0.5 * drift);
                tone.wander_hz = true_hz * std::abs(drift) / std::sqrt(12.0);
                tone.hz *= 1.0 + 0.02 * drift * random_.normal();
            }
            auto& list = unit_.tones.takes[take].found.tones;
            const auto merged = std::find_if(list.begin(), list.end(),
                                             [&](const Tone& other) { return std::abs(other.hz - tone.hz) < 0.3; });
            if (merged == list.end())
                list.push_back(tone);
            else if (merged->level_dbfs < tone.level_dbfs)
                *merged = tone;
            if (source.rate >= 0) unit_.guilty[static_cast<std::size_t>(source.rate)] = 1;
        }
    }

    void listen() {
        for (const Source& source : sources_) {
            double gain_db = 1e9;
            for (const TrueLine& line : source.lines)
                if (audible(line.hz)) gain_db = std::min(gain_db, threshold(0, line.hz, source.moves) - line.level_db);
            gain_db += source.strongest_db;
            for (std::size_t take = 0; take < state_.size(); ++take)
                hear(source, take, gain_db + (take > 0 ? 3.0 * random_.normal() : 0.0));
        }
        for (Take& take : unit_.tones.takes)
            std::sort(take.found.tones.begin(), take.found.tones.end(),
                      [](const Tone& a, const Tone& b) { return a.hz < b.hz; });
        unit_.tones = unite(std::move(unit_.tones.takes), nullptr);
    }

    Random random_;
    Curve resonance_, floor_shape_;
    DrawnUnit unit_;
    std::vector<scenes::Timing> timing_;
    std::vector<int> state_;
    std::vector<Source> sources_;
    double card_ = 0.0;
};

}  // namespace

DrawnUnit draw_unit(std::uint64_t seed) {
    return Unit(seed * 2654435761u + 97).draw();
}

}  // namespace tattletone::bench
