#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <iostream>
#include <sstream>

#include "base/text/number.h"
#include "report/answer_parts.h"
#include "report/audible.h"
#include "report/failing.h"
#include "report/hearing.h"
#include "report/next_steps.h"
#include "report/sample_findings.h"
#include "report/text/columns.h"
#include "report/text/text.h"
#include "report/text/wrap.h"
#include "report/words.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

int widest(const std::string& text) {
    std::istringstream lines(text);
    std::string line;
    int widest = 0;
    while (std::getline(lines, line)) widest = std::max(widest, display_columns(line));
    return widest;
}

long rows(const std::string& text) {
    return std::count(text.begin(), text.end(), '\n');
}

std::string in_one_line(const std::string& text) {
    std::istringstream words(text);
    std::string word, line;
    while (words >> word) line += (line.empty() ? "" : " ") + word;
    return line;
}

std::string everything(const Findings& findings) {
    TextStyle style;
    style.all = true;
    return findings_text(findings, style);
}

}  // namespace

TEST_CASE("numbers show what their uncertainty leaves") {
    CHECK(with_uncertainty(9599.8304, 0.0042) == "9599.830 ± 0.004");
    CHECK(with_uncertainty(14987.3, 12.4) == "14987 ± 12");
    CHECK(with_uncertainty(100.0, 0.0113) == "100.000 ± 0.011");
    CHECK(with_uncertainty(100.0, 0.3) == "100.0 ± 0.3");
    CHECK(with_uncertainty(100.0, 1.4) == "100.0 ± 1.4");
    CHECK(fixed(-0.01, 1) == "0.0");
    CHECK(fixed(2.5e-12, 3) == "0.000");
    CHECK(trimmed(20000.0, 3) == "20000");
    CHECK(significant(0.00123456, 3) == "0.00123");
    CHECK(short_hz(11200) == "11.2 kHz");
    CHECK(short_hz(9600) == "9600 Hz");
    CHECK(short_hz(2.4e7) == "24 MHz");
}

TEST_CASE("probabilities have one wording") {
    CHECK(probability_word(0.95) == "almost certainly");
    CHECK(probability_word(0.949) == "probably");
    CHECK(probability_word(0.499) == "possibly");
    CHECK(probability_word(0.099) == "hardly");
    CHECK(probability_number(0.9999) == "over 0.99");
    CHECK(probability_number(0.014) == "0.01");
    CHECK(probability_number(0.001) == "under 0.01");
}

TEST_CASE("a tired person reads the answer first") {
    const std::string text = findings_text(sample::named());
    CHECK_THAT(text, StartsWith("Two rates are singing: ranger.frame, almost certainly (0.98) and\n"
                                "core-regulator.burst, probably (0.62).\n"));
    const std::string flat = in_one_line(text);
    // 15 kHz at 59 dB SPL is some 20 dB over the threshold, 9.6 kHz some 45, and the noise hides both but for 16 dB.
    CHECK_THAT(flat, Contains("Heard best at 14987 Hz; easy to hear where the microphone was. At 55 years one needs"));
    CHECK_THAT(text,
               Contains("\nranger.frame, Time-of-flight ranger: almost certainly, 0.98\nFor      Two lines agree"));
    CHECK_THAT(text, Contains("\nAgainst  nothing in these recordings\n"));
    CHECK_THAT(text,
               Contains("\nOthers   lamp.dimming 0.01\n         something that the sheet does not declare: possibly"));
    CHECK_THAT(text, Contains("\nOpen     whether it is the board at all: no recording with the board off\n"));
    CHECK_THAT(text, Contains("\nCareful  heron idle.flac: The level follows the signal"));
    CHECK_THAT(text, Contains("\n         Only the first 64 multiples of a rate are compared"));
    CHECK_THAT(text, Contains("\nNext     1. Record the room with the board off, 5 s: --room FILE\n"));
    CHECK_THAT(text, Contains("\nTones    14987 Hz    11 dB over the noise  2nd harmonic of core-regulator.burst"));
    CHECK_THAT(text, Contains("\n         9599.83 Hz  11 dB                 fundamental of ranger.frame, in 1 of"));
    CHECK_THAT(flat, Contains("moves 15630 to 14211 Hz") || Contains("moves 15630 to 14210 Hz"));
    CHECK_THAT(text, Contains("\n         and 1 of the mains (--all)\n"));
    CHECK_THAT(text, Contains("not a proof"));
    CHECK(text.find('\033') == std::string::npos);
    CHECK(widest(text) <= 80);
    CHECK(rows(text) <= 30 + 8);  // a further suspect
    if (std::getenv("TATTLETONE_SHOW")) std::cout << text;
}

TEST_CASE("all that is behind the answer is told where it is asked for") {
    const std::string text = everything(sample::named());
    CHECK_THAT(text, Contains("9599.83 ± 0.17 Hz"));  // 18 ppm of the card and 0.0042 Hz
    CHECK_THAT(text, Contains("moves from 15.63 kHz to 14.211 kHz"));
    CHECK_THAT(text, Contains("no criterion above 11.2 kHz"));
    CHECK_THAT(text, Contains("! The level follows the signal"));
    CHECK_THAT(text, Contains("  mains: 50.00 Hz\n"));
    CHECK(widest(text) <= 80);
}

TEST_CASE("the answer keeps to thirty lines, whatever there is to say") {
    Findings findings = sample::named();
    findings.suspects.resize(1);
    for (int i = 0; i < 9; ++i) {
        const std::string much = std::to_string(i) + std::string(i % 2 ? " is said at length" : " is said") +
                                 ", in so many words that a single line of eighty columns could never hold them all";
        findings.suspects[0].reasons.push_back("for " + much);
        findings.suspects[0].reasons.push_back("against " + much);
        findings.suspects[0].against.push_back("against " + much);
        findings.notices.push_back("notice " + much);
        findings.rivals.push_back({RivalKind::device, 0.3, 0, 0, 0, 0, {}, "", "rival " + much});
        findings.unit.tones.push_back(sample::tone(10 + i, 1000.0 + i, 0.01));
    }
    const std::string text = findings_text(findings);
    CHECK(rows(text) <= 30);
    CHECK(widest(text) <= 80);
    for (const char* part : {"\nFor      ", "\nAgainst  ", "\nOthers   ", "\nOpen     ", "\nCareful  ", "\nNext     ",
                             "\nTones    ", "more (--all)"})
        CHECK_THAT(text, Contains(part));
    CHECK(everything(findings).find("notice 8") != std::string::npos);
}

TEST_CASE("rivals are told in words, and what they leave to nobody") {
    Findings findings = sample::unknown(true);
    findings.undeclared_probability = 0.9;
    CHECK_THAT(findings_text(findings), Contains("something that the sheet does not declare"));
    findings.rivals = {{RivalKind::machine,
                        0.81,
                        1570.8,
                        0.1,
                        1570.8,
                        3141.6,
                        {1},
                        "",
                        "a pair of lines that wander together (1.57 and 3.14 kHz): a motor or a fan"},
                       {RivalKind::room, 0.04, 0, 0, 0, 0, {1}, "", "the room"}};
    const std::string text = findings_text(findings);
    CHECK_THAT(in_one_line(text),
               Contains("a pair of lines that wander together (1.57 and 3.14 kHz): a motor or a fan (0.81)"));
    CHECK(text.find("the room (") == std::string::npos);
    CHECK(text.find("something that the sheet does not declare") == std::string::npos);
}

TEST_CASE("a source of many lines that nobody declared is one row") {
    Findings findings = sample::unknown(true);
    findings.unit.tones.clear();
    const auto add = [&](int id, double hz) {
        findings.unit.tones.push_back(sample::tone(id, hz, 0.002));
        findings.unit.tones.back().heard_in.resize(1);
    };
    for (int n = 4; n <= 12; ++n) add(n - 3, 121.3 * n);
    findings.undeclared = {{{0.999, 121.3, 0.0003, 0, 30, 121.3, 3639.0, 2.0, 21.0}, {1, 2, 3, 4, 5, 6, 7, 8, 9}}};
    std::string text = in_one_line(findings_text(findings));
    CHECK_THAT(text, StartsWith("Something periodic at 121.300 Hz was found, one source of 30 lines; none of the "
                                "declared rates explains it."));
    CHECK_THAT(text, Contains("best of 30 lines of something periodic at 121.300 Hz"));
    CHECK_THAT(text, !Contains("and 8 more"));
    CHECK(answer_parts(findings).tones.size() == 1);
    // A tone of its own stands beside it.
    add(10, 3456.7);
    CHECK(answer_parts(findings).tones.size() == 2);
    CHECK_THAT(in_one_line(findings_text(findings)), StartsWith("One tone was found, at 3456.70 Hz, and something "
                                                                "periodic at 121.300 Hz, one source of 30 lines; "
                                                                "none of the declared rates explains them."));
    TextStyle all;
    all.all = true;
    text = in_one_line(findings_text(findings, all));
    CHECK_THAT(text, Contains("line 12 of something periodic at 121.300 Hz"));
    CHECK_THAT(text, Contains("30 lines at multiples of 121.300 Hz from 121.3 Hz to 3639 Hz, one source that nobody "
                              "declared; 9 of them were found alone, each some 2 dB under what is found alone"));
    Findings faint = sample::quiet();
    faint.undeclared = findings.undeclared;
    faint.undeclared[0].tones.clear();
    CHECK_THAT(in_one_line(findings_text(faint)), StartsWith("No tone of the board was found alone, but something "
                                                             "periodic at 121.300 Hz that nobody declared stands out"));
}

TEST_CASE("the other answers say what to do") {
    CHECK_THAT(findings_text(sample::quiet()), StartsWith("No tone of the board was found.\n"));
    CHECK_THAT(findings_text(sample::unknown(true)),
               StartsWith("One tone was found, at 3141.59 Hz, and none of the declared rates explains it.\n"));
    CHECK_THAT(findings_text(sample::unknown(false)), Contains("--board"));
    if (std::getenv("TATTLETONE_SHOW"))
        std::cout << findings_text(sample::quiet()) << "-----\n" << findings_text(sample::unknown(true));
}

TEST_CASE("a tone is called the board's where something says so") {
    Findings findings = sample::unknown(true);
    CHECK_THAT(everything(findings), Contains("Tones that may be the board's"));
    CHECK_THAT(next_step(findings), Contains("--room FILE"));
    // The room was recorded, would have shown it clearly, and is without it.
    findings.unit.room_given = true;
    UnitTone& tone = findings.unit.tones[0];
    tone.room_below_dbfs = tone.heard_in[0].level_dbfs - 12.0;
    CHECK_THAT(findings_text(findings), StartsWith("One tone of the board was found, at 3141.59 Hz"));
    CHECK_THAT(everything(findings), Contains("Tones of the board"));
    tone.room_below_dbfs = tone.heard_in[0].level_dbfs - 8.0;
    CHECK_THAT(findings_text(findings), StartsWith("One tone was found, at 3141.59 Hz"));
    tone.room_below_dbfs.reset();
    // It fell as a board's does when the microphone moved away; a few decibels would be nobody's.
    tone.far_fall = FarFall{true, 24.0, 0.5, 1};
    CHECK_THAT(findings_text(findings), StartsWith("One tone of the board was found, at 3141.59 Hz"));
    tone.far_fall = FarFall{true, 9.0, 0.5, 1};
    CHECK_THAT(findings_text(findings), StartsWith("One tone was found, at 3141.59 Hz"));
    tone.far_fall.reset();
    // It comes and goes with a state: once that may be chance.
    findings.unit.room_given = false;
    findings.unit.takes.assign(3, findings.unit.takes[0]);
    const auto states = [&](const char* first, const char* second, const char* third) {
        const char* words[] = {first, second, third};
        for (std::size_t i = 0; i < 3; ++i) findings.unit.takes[i].state = words[i];
        return findings_text(findings);
    };
    HeardIn again = tone.heard_in[0], silent;
    again.take = 1;
    silent.take = 2;
    silent.below_dbfs = -100.0;
    tone.heard_in.insert(tone.heard_in.end(), {again, silent});
    CHECK_THAT(states("ranging", "ranging", "asleep"), StartsWith("One tone of the board was found"));
    CHECK_THAT(states("ranging", "asleep", "idle"), StartsWith("One tone was found"));
    CHECK_THAT(states("ranging", "ranging", "ranging"), StartsWith("One tone was found"));
    CHECK_THAT(states("", "", ""), StartsWith("One tone was found"));
}

TEST_CASE("what a person hears best comes first, and what nobody hears is told") {
    Findings findings = sample::unknown(true);
    // Equal levels: 3 kHz is heard best (ISO 389-7), 17.6 kHz hardly, though it stands out of its noise most.
    findings.unit.tones = {sample::tone(1, 150.0, 0.003), sample::tone(2, 3141.59, 0.003),
                           sample::tone(3, 17578.0, 0.003)};
    for (UnitTone& tone : findings.unit.tones) tone.tone.level_dbfs = -90.0;
    for (UnitTone& tone : findings.unit.tones) tone.heard_in.resize(1);
    findings.unit.tones[2].tone.tone_to_noise_db = 40.0;
    const std::string text = everything(findings);
    CHECK_THAT(text, StartsWith("Three tones were found, the clearest at 3141.59 Hz"));
    CHECK(text.find("    2  3141.59") < text.find("    1  150.00"));
    CHECK(text.find("    1  150.00") < text.find("    3  17578"));
    // 30 dB SPL at a full scale of 120: 27 dB under the threshold at 16 kHz, 40.2 dB (ISO 389-7), is too far.
    findings.unit.tones.resize(1);
    findings.unit.tones[0].tone.hz = 16000.0;
    findings.unit.tones[0].tone.level_dbfs = -85.0;
    CHECK_THAT(findings_text(findings), StartsWith("One tone was found, at 16000.0 Hz, "));
    CHECK_THAT(findings_text(findings), Contains("\nIt is on the edge of hearing where the microphone was."));
    findings.unit.tones[0].tone.level_dbfs = -95.0;
    CHECK_THAT(findings_text(findings), Contains("\nIt is hardly audible where the microphone was.\n"));
    findings.unit.tones[0].tone.level_dbfs = -60.0;  // 20 dB over the threshold, 11.3 - 5.3 over what the noise hides
    CHECK_THAT(findings_text(findings), Contains("\nIt is easy to hear where the microphone was."));
    // Under the noise: the masking index is -3.6 dB at 2 kHz, worked by hand (DIN 45681:2005).
    UnitTone masked = sample::tone(4, 2000.0, 0.003);
    masked.tone.tone_to_noise_db = -3.3;
    CHECK(!hardly_audible(masked.tone));
    masked.tone.tone_to_noise_db = -3.9;
    CHECK(hardly_audible(masked.tone));
    CHECK(hardly_audible(sample::tone(5, 18500.0, 0.003).tone));
}

TEST_CASE("no frequency is printed finer than the sound card's clock") {
    Findings findings = sample::unknown(false);
    findings.unit.tones[0].tone.hz = 1200.0;
    findings.unit.tones[0].tone.hz_sd = 1e-9;
    findings.card_error_ppm_sd = 50.0;
    CHECK_THAT(everything(findings), Contains("1200.00 ± 0.06 Hz"));
    CHECK_THAT(findings_text(findings), Contains("Tones    1200.00 Hz"));
    findings.card_error_ppm_sd = 8.0;
    CHECK_THAT(everything(findings), Contains("1200.000 ± 0.010 Hz"));
    findings.card_error_ppm_sd = 400.0;
    CHECK_THAT(findings_text(findings), Contains("Tones    1200.0 Hz"));
}

TEST_CASE("reasons for and against stand apart") {
    Findings findings = sample::named();
    findings.suspects[0].reasons.push_back("the 3rd harmonic would probably have been seen and is missing");
    findings.suspects[0].against = {findings.suspects[0].reasons.back()};
    const std::string text = findings_text(findings);
    CHECK_THAT(text, Contains("\nFor      Two lines agree"));
    CHECK_THAT(text, Contains("\nAgainst  the 3rd harmonic"));
    CHECK(text.find("For  ") < text.find("Against"));
    findings.suspects[0].against.clear();
    CHECK_THAT(findings_text(findings), Contains("\nAgainst  nothing in these recordings\n"));
}

TEST_CASE("below the threshold of hearing no tone is prominent, where the level is known") {
    Findings findings = sample::unknown(false);  // 3141.59 Hz at -61.2 dBFS; the threshold there is about -6 dB SPL
    report::HearingOptions hearing;
    screen_prominence(findings, hearing);
    CHECK(findings.unit.tones[0].tone.prominent == true);
    hearing.spl_at_0_dbfs = 60.0;
    screen_prominence(findings, hearing);
    CHECK(findings.unit.tones[0].tone.prominent == true);
    hearing.spl_at_0_dbfs = 50.0;
    screen_prominence(findings, hearing);
    CHECK(findings.unit.tones[0].tone.prominent == false);
    CHECK_THAT(everything(findings), Contains("by ratio"));
}

TEST_CASE("a unit fails for a tone that is the board's by evidence") {
    Findings findings = sample::unknown(true);
    findings.explained_by.clear();
    CHECK(!unit_verdict(findings).fails);
    CHECK_THAT(unit_verdict(findings).doubted, Contains("3141.6 Hz") && Contains("with the board off"));
    // Nine tenths, of whatever rates in sum.
    auto& explained = findings.explained_by[findings.unit.tones[0].id];
    explained = {{"ranger.frame", LineKind::harmonic, 1, "", 3141.0, 0.6, 0.6},
                 {"lamp.dimming", LineKind::harmonic, 1, "", 3141.0, 0.6, 0.29}};
    CHECK(!unit_verdict(findings).fails);
    CHECK(unit_verdict(findings, 0.5).fails);
    explained[1].probability = 0.31;
    CHECK(unit_verdict(findings).fails);
    CHECK(unit_verdict(findings).doubted.empty());
    findings.unit.tones[0].tone.prominent = false;
    CHECK(!unit_verdict(findings).fails);
    findings.unit.tones[0].tone.prominent = true;
    findings.unit.tones[0].tone.origin = Origin::room;
    CHECK(!unit_verdict(findings).fails);
    CHECK(unit_verdict(findings).doubted.empty());
}

TEST_CASE("a faint line is no tone that was found, unless it is named") {
    Findings findings = sample::unknown(true);
    UnitTone faint = findings.unit.tones[0];
    faint.id = 2;
    faint.tone.hz = 9600.0;
    faint.tone.faint = true;
    findings.unit.tones.push_back(faint);
    findings.suspects = {{"ranger.frame", "Time-of-flight ranger", 0.2, {}, {}}};
    CHECK_THAT(findings_text(findings), StartsWith("One tone was found, at 3141.59 Hz"));
    CHECK(everything(findings).find("faint: told from noise only because") != std::string::npos);
    findings.unit.tones.erase(findings.unit.tones.begin());
    findings.verdict = Verdict::quiet;
    CHECK_THAT(findings_text(findings), StartsWith("No tone of the board was found for certain; a faint line at"));
}

TEST_CASE("lines keep to the terminal's width, whatever the names") {
    Findings findings = sample::named();
    findings.unit.takes[0].path =
        std::string(300, 'x') + "/日本語日本語日本語日本語日本語日本語日本語日本語日本語日本語.flac";
    findings.suspects[0].part_name = std::string(120, 'n');
    for (const int columns : {40, 57, 76, 77, 80, 132}) {
        TextStyle style;
        style.columns = columns;
        for (const bool all : {false, true}) {
            style.all = all;
            CHECK(widest(findings_text(findings, style)) <= columns);
        }
    }
    TextStyle style;
    style.columns = 3;
    CHECK(widest(findings_text(findings, style)) <= 40);
}

TEST_CASE("names cannot steer the terminal, and bold is only where asked for") {
    Findings findings = sample::named();
    findings.unit.takes[0].path = "\033[2Jevil\n\x9B";
    CHECK(findings_text(findings).find('\033') == std::string::npos);
    TextStyle style;
    style.bold = true;
    CHECK_THAT(findings_text(findings, style), StartsWith("\033[1mTwo rates"));
}

TEST_CASE("text is cleaned and measured by character") {
    CHECK(clean_utf8("a\xC0\x80"
                     "b") ==
          "a\uFFFD\uFFFD"
          "b");
    CHECK(clean_utf8("\xF4\x90\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
    CHECK(clean_utf8("\xE2\x82") == "\uFFFD\uFFFD");
    CHECK(clean_utf8("é€😀\n") == "é€😀\n");
    CHECK(printable("a\tb\x7F") == "a\\tb\\x7f");
    CHECK(display_columns("é€") == 2);
    for (const char* odd :
         {"\x1b[2Jx\n", "日本\xE2\x80\xAE", "\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x92\xBB", "e\xCC\x81\xFF"}) {
        CHECK(display_columns(left_in(odd, 30)) == 30);
        CHECK(display_columns(right_in(odd, 30)) == 30);
        CHECK(left_in(odd, 30).find('\n') == std::string::npos);
        CHECK(wrapped(odd, 30).find('\n') == wrapped(odd, 30).size() - 1);
    }
    CHECK(display_columns("日本") == 4);
    CHECK(wrapped("aa bb cc", 5) == "aa bb\ncc\n");
    CHECK(wrapped("aa bb", 12, "- ", "  ") == "- aa bb\n");
    CHECK(wrapped("", 10, "x") == "x\n");
}
