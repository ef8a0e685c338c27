#include "support/boards.h"
#include "support/names.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

namespace tattletone::scenes {

namespace {

struct Kind {
    Timing timing;
    const char *part, *rate;
    Shape shape;
    std::array<double, 6> hz;  ///< zeros at the end are unused
};

// Standards' values: USB full and high speed frames, NTSC and PAL line rates, 60/1.001 Hz fields times
// the rows of small screens, 16 MHz / (64 · 256) and its like for dimming timers, 44100/256 blocks.
constexpr Kind fixed_kinds[] = {
    {Timing::crystal, "lamp", "dimming", Shape::square, {976.5625, 490.1961, 3906.25, 1953.125, 7812.5, 31372.549}},
    {Timing::crystal, "ranger", "frame", Shape::pulse, {9600, 4800, 3200, 2400, 14400}},
    {Timing::crystal, "bus", "frame", Shape::pulse, {1000, 8000}},
    {Timing::crystal, "video", "line", Shape::pulse, {15734.266, 15625, 31468.531}},
    {Timing::crystal, "screen", "scan", Shape::pulse, {59.94 * 128, 59.94 * 176, 59.94 * 264, 59.94 * 96}},
    {Timing::crystal, "screen", "refresh", Shape::pulse, {59.94, 72.5, 119.88, 85.0}},
    {Timing::crystal, "clock", "tick", Shape::pulse, {1024, 512, 250}},
    {Timing::crystal, "player", "block", Shape::pulse, {172.265625, 375, 750}},
    {Timing::crystal, "radio", "slot", Shape::pulse, {1600, 216.68, 816.3265}},
    {Timing::crystal, "motor", "drive", Shape::square, {16000, 18000, 12207.03125, 20000}},
    {Timing::ceramic, "heater", "drive", Shape::square, {1220.703, 2441.406, 610.3516}},
    {Timing::ceramic, "buzzer", "drive", Shape::sine, {2700, 4096, 3150}},
    {Timing::ceramic, "valve", "hold", Shape::sine, {15625, 10416.67, 5208.333}},
    {Timing::resistor_capacitor, "pump", "drive", Shape::square, {8192, 6500, 4700, 3400}},
    {Timing::resistor_capacitor, "bias", "charge", Shape::pulse, {12000, 5500, 9000, 14500}},
    {Timing::resistor_capacitor, "backlight", "pwm", Shape::square, {220, 1200, 2400, 5100}},
    {Timing::resistor_capacitor, "gauge", "sample", Shape::pulse, {1660, 833, 6660, 3330}},
};

struct WanderingKind {
    const char *part, *rate;
    double low_hz, high_hz;
};
constexpr WanderingKind wandering_kinds[] = {
    {"core-regulator", "burst", 2000, 40000},
    {"led-boost", "skip", 4000, 30000},
    {"charger", "burst", 3000, 18000},
    {"radio-supply", "skip", 1500, 25000},
};

double draw_tolerance_ppm(Timing timing, Random& random) {
    constexpr double crystal[] = {10, 20, 30, 50, 100};
    constexpr double rc[] = {10000, 20000, 30000, 50000};
    switch (timing) {
        case Timing::crystal:
            return random.pick(crystal);
        case Timing::ceramic:
            return 5000;
        case Timing::resistor_capacitor:
            return random.pick(rc);
        case Timing::wandering:
            break;
    }
    return 0.0;
}

double draw_hz(const Kind& kind, Random& random) {
    const int values =
        static_cast<int>(std::count_if(kind.hz.begin(), kind.hz.end(), [](double hz) { return hz > 0; }));
    const double standard = kind.hz[static_cast<std::size_t>(random.below(values))];
    if (kind.timing != Timing::crystal || random.chance(0.6)) return standard;
    constexpr double clocks[] = {8e6, 12e6, 16e6, 24e6, 26e6, 32.768e3, 4e6, 25e6};
    const double clock = random.pick(clocks);
    const double divider = std::max(2.0, std::floor(clock / random.log_uniform(250, 17000)));
    return std::floor(clock / divider * 1e4 + 0.5) / 1e4;
}

bool too_close(const Rate& a, const Rate& b) {
    if (a.wanders() || b.wanders()) return a.wanders() && b.wanders();
    const double ratio = std::max(a.hz, b.hz) / std::min(a.hz, b.hz);
    const double whole = std::floor(ratio + 0.5);
    return whole <= 3.0 && std::abs(ratio / whole - 1.0) < 1e-6 * (a.tolerance_ppm + b.tolerance_ppm) + 3e-4;
}

std::string number(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%.10g", value);
    return text;
}

}  // namespace

const char* name_of(Timing timing) {
    static constexpr const char* names[] = {"crystal", "ceramic", "RC", "wandering"};
    return names[static_cast<int>(timing)];
}

DrawnBoard draw_board(int rates, Random& random) {
    DrawnBoard board;
    board.sheet.name = "Board " + std::to_string(random.between(100, 999));
    board.sheet.revision = std::string(1, static_cast<char>('A' + random.below(5)));
    const bool careless = random.chance(0.1);
    for (int tries = 0; static_cast<int>(board.sheet.rates.size()) < rates && tries < 1000; ++tries) {
        Rate rate;
        std::string part_id;
        Timing timing;
        if (random.chance(0.15)) {
            const WanderingKind& kind = random.pick(wandering_kinds);
            timing = Timing::wandering;
            part_id = kind.part;
            rate.id = kind.rate;
            rate.hz_min = kind.low_hz;
            rate.hz_max = kind.high_hz;
        } else {
            const Kind& kind = random.pick(fixed_kinds);
            timing = kind.timing;
            part_id = kind.part;
            rate.id = kind.rate;
            rate.hz = draw_hz(kind, random);
            rate.shape = kind.shape;
            rate.tolerance_ppm = draw_tolerance_ppm(timing, random);
        }
        rate.full_name = part_id + "." + rate.id;
        const auto clashes = [&](const Rate& other) {
            return other.full_name == rate.full_name || (!careless && too_close(rate, other));
        };
        if (std::any_of(board.sheet.rates.begin(), board.sheet.rates.end(), clashes)) continue;
        auto& parts = board.sheet.parts;
        const auto part = std::find_if(parts.begin(), parts.end(), [&](const Part& p) { return p.id == part_id; });
        rate.part = static_cast<int>(part - parts.begin());
        if (part == parts.end()) {
            Part drawn;
            drawn.id = part_id;
            drawn.name = part_id;
            parts.push_back(drawn);
        }
        board.sheet.rates.push_back(rate);
        board.timing.push_back(timing);
    }
    return board;
}

std::string to_toml(const BoardSheet& sheet) {
    constexpr const char* shapes[] = {"pulse", "square", "sine"};
    const auto list = [&](auto&& names) {
        std::string text = "[";
        for (const auto& name : names) text += (text.size() > 1 ? ", \"" : "\"") + name + "\"";
        return text + "]\n";
    };
    std::string toml = "[board]\nname = \"" + sheet.name + "\"\nrevision = \"" + sheet.revision + "\"\n";
    if (!sheet.states.empty()) toml += "states = " + list(sheet.states);
    for (std::size_t part = 0; part < sheet.parts.size(); ++part) {
        toml += "\n[[part]]\nid = \"" + sheet.parts[part].id + "\"\nname = \"" + sheet.parts[part].name + "\"\n";
        for (const Rate& rate : sheet.rates) {
            if (rate.part != static_cast<int>(part)) continue;
            toml += "\n  [[part.rate]]\n  id = \"" + rate.id + "\"\n";
            if (rate.wanders()) {
                toml += "  hz_min = " + number(rate.hz_min) + "\n  hz_max = " + number(rate.hz_max) + "\n";
            } else {
                toml += "  hz = " + number(rate.hz) + "\n  tolerance_ppm = " + number(rate.tolerance_ppm) + "\n";
            }
            toml += std::string("  shape = \"") + shapes[static_cast<int>(rate.shape)] + "\"\n";
            if (!rate.active_in.empty()) {
                std::vector<std::string> names;
                for (const int state : rate.active_in) names.push_back(sheet.states[static_cast<std::size_t>(state)]);
                toml += "  active_in = " + list(names);
            }
        }
    }
    return toml;
}

}  // namespace tattletone::scenes
