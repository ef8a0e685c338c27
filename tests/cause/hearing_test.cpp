// Outside values: ISO 389-7:2019 and ISO 226:2023 Table 1 (thresholds), ISO 7029:2017 Tables 1 to 3 (age), as
// transcribed in an open acoustics library and recomputed from the published formulas.
#include <catch2/catch.hpp>

#include "cause/hearing.h"
#include "support/names.h"

using namespace tattletone;

TEST_CASE("threshold of hearing, with the amended value at 18 kHz") {
    CHECK(*hearing_threshold_db(20.0) == Approx(78.1));
    CHECK(*hearing_threshold_db(1000.0) == Approx(2.4));
    CHECK(*hearing_threshold_db(4000.0) == Approx(-5.4));
    CHECK(*hearing_threshold_db(12500.0) == Approx(12.3));
    CHECK(*hearing_threshold_db(16000.0) == Approx(40.2));
    CHECK(*hearing_threshold_db(18000.0) == Approx(70.4));
    CHECK(*hearing_threshold_db(13000.0) > 12.3);
    CHECK(*hearing_threshold_db(13000.0) < 18.4);
    CHECK_FALSE(hearing_threshold_db(19000.0));
    CHECK_FALSE(hearing_threshold_db(15.0));
}

TEST_CASE("median deviation with age is that of the 2017 edition") {
    CHECK(*age_loss_db(4000.0, 60.0, Sex::male) == Approx(20.2085).margin(0.0001));
    const struct {
        double hz, loss[5];
        Sex sex;
    } rows[] = {{1000, {0.3, 1.6, 4.0, 7.8, 13.4}, Sex::male},    {2000, {0.6, 2.6, 6.5, 12.5, 20.8}, Sex::male},
                {4000, {1.1, 4.5, 10.7, 20.2, 33.2}, Sex::male},  {8000, {1.6, 6.8, 16.1, 30.4, 50.0}, Sex::male},
                {4000, {0.5, 2.7, 7.4, 15.3, 27.0}, Sex::female}, {8000, {1.1, 4.8, 11.9, 23.0, 38.8}, Sex::female}};
    for (const auto& row : rows)
        for (int i = 0; i < 5; ++i)
            CHECK(*age_loss_db(row.hz, 30.0 + 10.0 * i, row.sex) == Approx(row.loss[i]).margin(0.051));
    CHECK(*hearing_threshold_db(8000.0) + *age_loss_db(8000.0, 50.0, Sex::male) == Approx(28.7).margin(0.051));
    CHECK(*hearing_threshold_db(8000.0) + *age_loss_db(8000.0, 40.0, Sex::female) == Approx(17.4).margin(0.051));
    CHECK(*age_loss_db(8000.0, 18.0, Sex::male) == 0.0);
}

TEST_CASE("nothing is claimed beyond the tables") {
    CHECK_FALSE(age_loss_db(12000.0, 40.0, Sex::male));
    CHECK_FALSE(age_loss_db(999.0, 40.0, Sex::male));
    CHECK_FALSE(age_loss_db(4000.0, 71.0, Sex::male));
    CHECK(age_loss_db(2000.0, 80.0, Sex::male));
    CHECK_FALSE(age_loss_db(2000.0, 81.0, Sex::male));
    CHECK_FALSE(age_loss_db(2000.0, 17.0, Sex::female));
    CHECK_FALSE(age_spread(12000.0, 40.0, Sex::male));
}

TEST_CASE("the remembered spread stays near the values of the 2017 edition that could be checked") {
    // 2017: man of 60, 4 kHz: s_u 18.22, s_l 10.38, so the worst tenth from 43.6 dB, the best to 6.9 dB; 1 kHz:
    // s_u 10.1533.
    const AgeSpread at_4k = *age_spread(4000.0, 60.0, Sex::male);
    CHECK(at_4k.worst_tenth_db == Approx(43.6).margin(1.5));
    CHECK(at_4k.best_tenth_db == Approx(6.9).margin(4.6));
    // Those who hear better differ by more, the greater the loss: s_l grows with the median in both editions.
    const auto better = [](double age) {
        return *age_loss_db(4000.0, age, Sex::male) - age_spread(4000.0, age, Sex::male)->best_tenth_db;
    };
    CHECK(better(60.0) > 1.5 * better(20.0));
    const double median = *age_loss_db(1000.0, 60.0, Sex::male);
    CHECK((age_spread(1000.0, 60.0, Sex::male)->worst_tenth_db - median) / 1.2816 == Approx(10.1533).margin(1.0));
}
