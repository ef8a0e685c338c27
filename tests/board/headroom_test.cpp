// Expected values: makers' tutorials, FAQs and guides for linear regulators (the worked examples that they print
// or whose inputs they print), and charge balance. Formulas: P_D = (V_in - V_out) I + V_in I_q and
// T_J = T_A + theta_JA P_D.
#include <catch2/catch.hpp>

#include <cmath>

#include "board/headroom.h"
#include "board/sheet/sheet_reader.h"
#include "support/names.h"
#include "support/sheets.h"

using namespace tattletone;

namespace {

BoardSheet made_board(const std::string& text) {
    SheetReading reading = parse_sheet("[board]\nname = \"B\"\n" + text, "b.toml");
    for (const SheetError& error : reading.errors) FAIL_CHECK(error.what);
    REQUIRE(reading.sheet);
    return *reading.sheet;
}

Rail linear(double v_in, double v_out) {
    Rail rail;
    rail.regulator = Regulator::linear;
    rail.v_in = v_in;
    rail.v_out = v_out;
    return rail;
}

}  // namespace

TEST_CASE("dissipation and junction temperature follow the printed examples") {
    // An engineering guide's example: 12 V to 5 V, 200 mA, 5 mA of its own, 50 K/W, 25 °C.
    const double power = dissipation_mw(12.0, 5.0, 200.0, 5.0);
    CHECK(power == Approx(1460.0));
    CHECK(junction_c(25.0, 50.0, power) == Approx(98.0));
    // A maker's tutorial: theta from a limit at 25 °C, then 3.6 V to 1.8 V, 100 mA, 40 °C.
    const double theta = theta_from_rating(600.0, 150.0);
    CHECK(theta == Approx(208.33).epsilon(1e-4));
    CHECK(junction_c(40.0, theta, dissipation_mw(3.6, 1.8, 100.0, 0.0)) == Approx(77.5));
    // Inputs from a maker's FAQ: 1.5 V to 1.0 V, 200 mA, 20 µA, 60 °C.
    const double little = dissipation_mw(1.5, 1.0, 200.0, 0.02);
    CHECK(little == Approx(100.03));
    CHECK(junction_c(60.0, theta, little) == Approx(80.84).margin(0.005));
}

TEST_CASE("a package's limit falls in a straight line to nothing at its hottest") {
    CHECK(derated_mw(600.0, 150.0, 60.0) == Approx(432.0));
    CHECK(derated_mw(600.0, 150.0, 85.0) == Approx(312.0));
    CHECK(derated_mw(600.0, 150.0, 26.0) == Approx(600.0 - 4.8));
    CHECK(derated_mw(600.0, 150.0, 0.0) == 600.0);
    CHECK(derated_mw(600.0, 150.0, 150.0) == 0.0);
}

TEST_CASE("the smallest of rating, heat and dropout is what a rail is good for") {
    Rail rail = linear(5.0, 3.3);
    rail.ambient_c = 60.0;
    rail.t_j_max_c = 125.0;
    rail.theta_ja_c_per_w = 62.0;
    CHECK(*limits_of(rail).good_for_ma == Approx(617.0).margin(0.5));
    rail.theta_ja_c_per_w = 250.0;
    CHECK(*limits_of(rail).good_for_ma == Approx(153.0).margin(0.5));
    CHECK(limits_of(rail).limited_by == Limit::heat);
    rail.max_current_ma = 150.0;
    CHECK(limits_of(rail).limited_by == Limit::rating);
    // 5.0 V - 5 %, 0.3 Ohm, 0.3 V of dropout: 1.00 V left at 0.5 A, hence 500 mA + 1.00 V / 0.3 Ohm in all.
    rail = linear(5.0, 3.3);
    rail.v_in_min = 4.75;
    rail.path_mohm = 300.0;
    rail.dropout_v = 0.3;
    const RailLimits limits = limits_of(rail);
    CHECK(*limits.spare_v - 0.5 * 0.3 == Approx(1.0));
    CHECK(*limits.good_for_ma == Approx(500.0 + 1000.0 / 0.3));
    CHECK(limits.limited_by == Limit::dropout);
}

TEST_CASE("what a regulator draws for itself heats it too") {
    // By hand from P_D = (V_in - V_out) I + V_in I_q: of 65 °C / 50 K/W = 1300 mW, 12 V · 5 mA = 60 mW go to itself.
    Rail rail = linear(12.0, 5.0);
    rail.ambient_c = 60.0;
    rail.t_j_max_c = 125.0;
    rail.theta_ja_c_per_w = 50.0;
    CHECK(*limits_of(rail).good_for_ma == Approx(1300.0 / 7.0));
    rail.quiescent_ma = 5.0;
    CHECK(limits_of(rail).idle_loss_mw == Approx(60.0));
    CHECK(*limits_of(rail).good_for_ma == Approx(1240.0 / 7.0));
}

TEST_CASE("a rail that cannot be is told at equality too") {
    for (const Regulator regulator : {Regulator::linear, Regulator::buck, Regulator::boost}) {
        Rail rail = linear(3.3, 3.3);
        rail.regulator = regulator;
        CHECK_FALSE(limits_of(rail).impossible.empty());
        rail.v_out = regulator == Regulator::boost ? 3.4 : 3.2;
        CHECK(limits_of(rail).impossible.empty());
        rail.v_out = regulator == Regulator::boost ? 3.2 : 3.4;
        CHECK_FALSE(limits_of(rail).impossible.empty());
    }
}

TEST_CASE("droop of a burst, and the capacitor that would hold it") {
    CHECK(charge_droop_v(300.0, 577.0, 100.0) == Approx(1.731));
    CHECK(esr_droop_v(300.0, 100.0) == Approx(0.030));
    CHECK(charge_droop_v(300.0, 1000.0, 470.0) == Approx(0.638).margin(0.0005));
    CHECK(capacitance_for_uf(0.10, 300.0, 1000.0, 50.0) == Approx(3529.0).margin(0.5));
    CHECK(std::isinf(capacitance_for_uf(0.10, 300.0, 1000.0, 400.0)));
    // 22 µF of which a class II dielectric keeps 40 % under its bias.
    CHECK(charge_droop_v(100.0, 50.0, 22.0) == Approx(0.227).margin(0.0005));
    CHECK(charge_droop_v(100.0, 50.0, 8.8) == Approx(0.568).margin(0.0005));
}

TEST_CASE("each state sums what runs in it, and says how near that comes") {
    const std::string sheet = scenes::sheet_text("rail_of_three_parts");
    const RailSupply supply = supply_of(made_board(sheet), 0);
    // 400 mW · (125 - 35)/(125 - 25) = 360 mW; 360 mW / 2 V = 180 mA.
    CHECK(*supply.limits.good_for_ma == Approx(180.0));
    CHECK(supply.limits.t_j_max_assumed);
    REQUIRE(supply.states.size() == 2);
    CHECK(supply.states[0].typical_ma == 31.0);
    CHECK(supply.states[0].peak_ma == 31.0);
    CHECK(supply.states[0].verdict == Supply::fine);
    CHECK(supply.states[1].typical_ma == 90.0);
    CHECK(supply.states[1].peak_ma == 175.0);
    CHECK(supply.states[1].verdict == Supply::tight);
    CHECK(*supply.states[1].left_share == Approx(1.0 - 175.0 / 180.0));
    CHECK(*supply.states[1].loss_mw == Approx(180.0));
    CHECK(*supply.states[1].junction_c == Approx(35.0 + 0.180 * 250.0));
    CHECK(supply.states[1].short_bursts);
    CHECK_FALSE(supply.states[1].loads[2].declared);
    CHECK(&supply.worst() == &supply.states[1]);
    REQUIRE(supply.droops.size() == 1);
    CHECK(supply.droops[0].total_v() == Approx(0.145 * 20.0 / 4.7 + 0.00145));

    BoardSheet warm = made_board(sheet);
    warm.rails[0].ambient_c = 60.0;
    const RailSupply starved = supply_of(warm, 0);
    CHECK(*starved.limits.good_for_ma == Approx(130.0));
    CHECK(starved.states[1].verdict == Supply::starved);
    CHECK(starved.states[1].only_peaks_starve);
    CHECK(starved.states[0].verdict == Supply::fine);

    // What is asked of a replacement, put into the sheet, is just enough: fine, and not by more than 1 %.
    const Needs needs = needs_of(warm, starved);
    BoardSheet replaced = warm;
    replaced.rails[0].max_current_ma = needs.current_ma * 1.001;
    replaced.rails[0].max_dissipation_mw = *needs.peak_rated_mw * 1.001;
    CHECK(supply_of(replaced, 0).worst().verdict == Supply::fine);
    replaced.rails[0].max_dissipation_mw = *needs.peak_rated_mw * 0.99;
    CHECK(supply_of(replaced, 0).worst().verdict == Supply::tight);
    replaced.rails[0].max_dissipation_mw.reset();
    replaced.rails[0].theta_ja_c_per_w = *needs.peak_theta * 0.999;
    CHECK(supply_of(replaced, 0).worst().verdict == Supply::fine);
    BoardSheet lower = warm;
    lower.rails[0].v_in = *needs.v_in_for_this_package - 0.001;
    CHECK(supply_of(lower, 0).worst().verdict == Supply::fine);
    lower.rails[0].v_in = *needs.v_in_for_this_package + 0.05;
    CHECK(supply_of(lower, 0).worst().verdict == Supply::tight);
}

TEST_CASE("a rail that feeds another carries its current through the converter") {
    const std::string feeding = R"([[rail]]
id = "3V3"
regulator = "linear"
v_in = 5.0
v_out = 3.3
max_current_ma = 300
[[rail]]
id = "1V2"
fed_by = "3V3"
regulator = "buck"
v_out = 1.2
max_current_ma = 500
)";
    const std::string core = "[[part]]\nid = \"core\"\nrail = \"1V2\"\ntypical_ma = 110\npeak_ma = 260\n";
    const RailSupply lossless = supply_of(made_board(feeding + core), 0);
    REQUIRE(lossless.states.size() == 1);
    CHECK(lossless.states[0].state == -1);
    CHECK(lossless.states[0].typical_ma == Approx(110.0 * 1.2 / 3.3));
    CHECK(lossless.states[0].loads[0].lossless);
    const RailSupply lossy = supply_of(made_board(feeding + "efficiency_percent = 80\n" + core), 0);
    CHECK(lossy.states[0].peak_ma == Approx(260.0 * 1.2 / 3.3 / 0.8));
    CHECK_FALSE(lossy.states[0].loads[0].lossless);
}

TEST_CASE("a converter gets a package limit only from its efficiency") {
    Rail rail = linear(3.3, 1.2);
    rail.regulator = Regulator::buck;
    rail.max_current_ma = 500.0;
    rail.max_dissipation_mw = 100.0;
    CHECK_FALSE(limits_of(rail).heat_ma);
    rail.efficiency_percent = 80.0;
    // 1.2 V · I · (1/0.8 - 1) = 100 mW
    CHECK(*limits_of(rail).heat_ma == Approx(100.0 / 0.3));
}

TEST_CASE("what cannot be judged is not called fine") {
    CHECK(supply_of(made_board("[[rail]]\nid = \"a\"\n[[part]]\nid = \"p\"\nrail = \"a\"\ntypical_ma = 5\n"), 0)
              .worst()
              .verdict == Supply::unknown);
    CHECK(supply_of(made_board("[[rail]]\nid = \"a\"\nmax_current_ma = 5\n[[part]]\nid = \"p\"\nrail = \"a\"\n"), 0)
              .worst()
              .verdict == Supply::unknown);
    const RailSupply upwards = supply_of(
        made_board("[[rail]]\nid = \"a\"\nregulator = \"linear\"\nv_in = 3.0\nv_out = 3.3\nmax_current_ma = 300\n"), 0);
    CHECK(upwards.worst().verdict == Supply::starved);
    CHECK_FALSE(upwards.limits.impossible.empty());
    const RailSupply dropped = supply_of(made_board("[[rail]]\nid = \"a\"\nregulator = \"linear\"\nv_in = 3.4\nv_out = "
                                                    "3.3\ndropout_v = 0.2\nmax_current_ma = 300\n[[part]]\nid = "
                                                    "\"p\"\nrail = \"a\"\ntypical_ma = 5\n"),
                                         0);
    CHECK(dropped.worst().verdict == Supply::starved);
    CHECK(dropped.limits.limited_by == Limit::dropout);
}
