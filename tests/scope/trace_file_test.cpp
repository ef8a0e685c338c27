#include <catch2/catch.hpp>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <string>
#include <vector>

#include "scope/trace_file.h"
#include "sound/clip_maker.h"
#include "support/names.h"

namespace fs = std::filesystem;
using namespace tattletone;

namespace {

constexpr double increment = 2e-6, start = -0.001;
constexpr int rows = 600;

double time_of(int row) {
    return start + increment * row;
}
double rail(int row) {
    return row % 50 < 8 ? 2.9 - 0.005 * (row % 50) : 3.3 + 0.001 * (row % 3);
}
double lamp(int row) {
    return row % 40 < 20 ? 0.1 : 1.4;
}

std::string printed(const char* format, double value, bool comma = false) {
    char text[64];
    std::snprintf(text, sizeof text, format, value);
    std::string result = text;
    if (comma)
        for (char& c : result) c = c == '.' ? ',' : c;
    return result;
}

std::string body(const std::function<std::string(int)>& row, const char* end = "\n") {
    std::string text;
    for (int i = 0; i < rows; ++i) text += row(i) + end;
    return text;
}

std::string plain_row(int i, const char* separator = ",", bool comma = false) {
    return printed("%.6f", time_of(i), comma) + separator + printed("%.4f", rail(i), comma);
}

std::string utf16(const std::string& ascii, bool big) {
    std::string text = big ? "\xFE\xFF" : "\xFF\xFE";
    for (const char c : ascii) {
        if (big) text += '\0';
        text += c;
        if (!big) text += '\0';
    }
    return text;
}

std::string write(const clip_maker::Folder& folder, const std::string& content) {
    const std::string file = folder / "trace.csv";
    std::ofstream(file, std::ios::binary) << content;
    return file;
}

struct Variant {
    const char* layout;
    std::string content;
    const char* name = "column 2";  ///< of the first column of volts
    bool second = false;            ///< the lamp is there too
    double start_seconds = start;
    double increment_error = 1e-9;  ///< allowed, relative
};

std::string two(int i, const char* separator = ",", bool comma = false) {
    return plain_row(i, separator, comma) + separator + printed("%.3f", lamp(i), comma);
}

std::vector<Variant> variants() {
    const auto index_row = [](int i) { return std::to_string(i) + "," + printed("%.4f", rail(i)); };
    const auto volts = [](int i) { return printed("%.4f", rail(i)); };
    const auto micro = [](int i) { return printed("%.1f", 1e6 * time_of(i)) + "," + printed("%.1f", 1e3 * rail(i)); };
    const std::string milli_body =
        body([](int i) { return printed("%.3f", 1e3 * time_of(i)) + "," + printed("%.1f", 1e3 * rail(i)); });
    std::vector<Variant> all = {
        {"no header", body([](int i) { return plain_row(i); })},
        {"one line of names", "Time,3V0\n" + body([](int i) { return plain_row(i); }), "3V0"},
        {"names in quotes", "\"Time\",\"3V0\"\n" + body([](int i) { return plain_row(i); }), "3V0"},
        {"a remark above", "# made on a Monday\ntime,3V0\n" + body([](int i) { return plain_row(i); }), "3V0"},
        {"names in a remark", "# time,3V0\n" + body([](int i) { return plain_row(i); }), "3V0"},
        {"several lines of text",
         "A trace of the rail\nBench two\n\nTime,3V0\n" + body([](int i) { return plain_row(i); }), "3V0"},
        {"two columns of volts", "Time,3V0,lamp\n" + body([](int i) { return two(i); }), "3V0", true},
        {"semicolons", "Time;3V0\n" + body([](int i) { return plain_row(i, ";"); }), "3V0"},
        {"semicolons and decimal commas", "Time;3V0;lamp\n" + body([](int i) { return two(i, ";", true); }), "3V0",
         true},
        {"tabs", "Time\t3V0\n" + body([](int i) { return plain_row(i, "\t"); }), "3V0"},
        {"tabs and decimal commas", "Time\t3V0\n" + body([](int i) { return plain_row(i, "\t", true); }), "3V0"},
        {"spaces", "Time 3V0\n" + body([](int i) { return "  " + plain_row(i, "   "); }), "3V0"},
        {"spaces, units in brackets behind the names",
         "Time (s)  3V0 (V)\n" + body([](int i) { return plain_row(i, " "); }), "3V0"},
        {"spaces and decimal commas", body([](int i) { return plain_row(i, " ", true); })},
        {"comma and space", "Time, 3V0\n" + body([](int i) { return plain_row(i, ", "); }), "3V0"},
        {"units in the names, brackets", "Time (us),3V0 (mV)\n" + body(micro), "3V0"},
        {"units in the names, square brackets", "Time [\xC2\xB5s],3V0 [mV]\n" + body(micro), "3V0"},
        {"units in the names, Greek letter", "Time [\xCE\xBCs],3V0 [mV]\n" + body(micro), "3V0"},
        {"units in the names, stroke", "t/ms,3V0/mV\n" + milli_body, "3V0"},
        {"units in the names, underscore", "time_ms,3V0_mV\n" + milli_body, "3V0"},
        {"units in the names, eight-bit code", "Time (\xB5s),3V0 (mV)\n" + body(micro), "3V0"},
        {"nanoseconds", "Time (ns),3V0\n" + body([](int i) {
                            return printed("%.0f", 1e9 * time_of(i)) + "," + printed("%.4f", rail(i));
                        }),
         "3V0"},
        {"a second row of units", "Time,3V0\nms,mV\n" + milli_body, "3V0"},
        {"a second row of units in brackets, empty line", "Time,3V0\n(ms),(mV)\n\n" + milli_body, "3V0"},
        {"names and units in pairs", "Time,ms,3V0,mV\n" + milli_body, "3V0"},
        {"units in every field",
         body([](int i) { return printed("%.1f us", 1e6 * time_of(i)) + "," + printed("%.4f V", rail(i)); })},
        {"keys and values above",
         "Model of nothing\nSource,C1\nHorizontal Units,ms\nVertical Units,mV\nRecord Length,600\nTime,3V0\n" +
             milli_body,
         "3V0"},
        {"increment and start as keys, rows numbered", "Start,-0.001\nIncrement,2e-6\nIndex,3V0\n" + body(index_row),
         "3V0"},
        {"increment as a key with its unit, rows numbered", "Sample Interval (us),2\nSample,3V0\n" + body(index_row),
         "3V0", false, 0.0},
        {"increment with the unit in a third field", "Sample Interval,2,us\nSample,3V0\n" + body(index_row), "3V0",
         false, 0.0},
        {"sample rate behind a colon, volts only", "Sample rate: 500 kHz\n3V0 (V)\n" + body(volts), "3V0", false, 0.0},
        {"sample rate as a plain number, volts only", "Sample Rate,500000\n3V0\n" + body(volts), "3V0", false, 0.0},
        {"increment behind =, volts only", "Increment = 2e-6\nStart = -1e-3\n" + body(volts), "column 1"},
        {"start and increment in the header's further columns",
         "X,3V0,Start,Increment\nSequence,Volt,-1.00e-03,2.00e-06\n" + body([&](int i) { return index_row(i) + ",,"; }),
         "3V0"},
        {"start and increment in the first row's further columns",
         "X,3V0,Start,Increment\n0," + printed("%.4f", rail(0)) + ",-1.00e-03,2.00e-06\n" +
             body(index_row).substr(body(index_row).find('\n') + 1),
         "3V0"},
        {"keys in columns to the left of the data",
         "Record Length,600,Points,-0.001000," + printed("%.4f", rail(0)) + ",\nSample Interval,2e-6,s," +
             plain_row(1) + ",\n" +
             [] {
                 std::string text;
                 for (int i = 2; i < rows; ++i) text += ",,," + plain_row(i) + ",\n";
                 return text;
             }(),
         "column 5"},
        {"rows numbered and times",
         "Sample,Time,3V0\n" + body([](int i) { return std::to_string(i) + "," + plain_row(i); }), "3V0"},
        {"carriage returns", "Time,3V0\r\n" + body([](int i) { return plain_row(i); }, "\r\n"), "3V0"},
        {"carriage returns alone", "Time,3V0\r" + body([](int i) { return plain_row(i); }, "\r"), "3V0"},
        {"byte order mark", "\xEF\xBB\xBFTime,3V0\n" + body([](int i) { return plain_row(i); }), "3V0"},
        {"UTF-16, little end first", utf16("Time,3V0\r\n" + body([](int i) { return plain_row(i); }, "\r\n"), false),
         "3V0"},
        {"UTF-16, big end first", utf16("Time,3V0\n" + body([](int i) { return plain_row(i); }), true), "3V0"},
        {"UTF-16 without a mark", utf16("Time,3V0\n" + body([](int i) { return plain_row(i); }), false).substr(2),
         "3V0"},
        {"empty columns behind", "Time,3V0,,\n" + body([](int i) { return plain_row(i) + ",,"; }), "3V0"},
        {"exponents",
         "Time,3V0\n" + body([](int i) { return printed("%.5e", time_of(i)) + "," + printed("%+.4E", rail(i)); }),
         "3V0"},
        {"exponents with decimal commas",
         "Time;3V0\n" +
             body([](int i) { return printed("%.5e", time_of(i), true) + ";" + printed("%.4E", rail(i), true); }),
         "3V0"},
        {"no end of the last line", "Time,3V0\n" + body([](int i) { return plain_row(i); }) + "0.0002,3.3", "3V0",
         false, start, 1e-4},
        {"separators only behind the data", "Time,3V0\n" + body([](int i) { return plain_row(i); }) + ",\n,\n", "3V0"},
        {"a last line of text", "Time,3V0\n" + body([](int i) { return plain_row(i); }) + "End of data\n", "3V0"},
    };
    // Six digits after the point and five rows to a time: the whole file tells the increment better.
    all.push_back(
        {"coarse times, several rows alike",
         "Time,3V0\n" + body([](int i) { return printed("%.5f", time_of(i)) + "," + printed("%.4f", rail(i)); }), "3V0",
         false, start, 1e-3});
    all.push_back({"coarse times and the increment stated",
                   "Increment,2e-6\nTime,3V0\n" +
                       body([](int i) { return printed("%.5f", time_of(i)) + "," + printed("%.4f", rail(i)); }),
                   "3V0"});
    return all;
}

}  // namespace

TEST_CASE("a trace is read alike in every layout") {
    const clip_maker::Folder folder;
    for (const Variant& variant : variants()) {
        INFO(variant.layout);
        const auto trace = read_trace(write(folder, variant.content));
        INFO((trace ? std::string() : to_sentence(trace.error())));
        REQUIRE(trace);
        CHECK(std::abs(trace->increment_seconds / increment - 1.0) < variant.increment_error + 1e-7);
        CHECK(trace->start_seconds == Approx(variant.start_seconds).margin(5e-6));
        REQUIRE(trace->columns.size() == (variant.second ? 2 : 1));
        CHECK(trace->columns[0].name == variant.name);
        CHECK(trace->columns[0].unit == "V");
        REQUIRE(trace->rows() >= static_cast<std::size_t>(rows));
        REQUIRE(trace->rows() <= static_cast<std::size_t>(rows) + 1);
        double worst = 0.0;
        for (int i = 0; i < rows; ++i) {
            worst = std::max(
                worst, std::abs(static_cast<double>(trace->columns[0].values[static_cast<std::size_t>(i)]) - rail(i)));
            if (variant.second)
                worst = std::max(
                    worst,
                    std::abs(static_cast<double>(trace->columns[1].values[static_cast<std::size_t>(i)]) - lamp(i)));
        }
        CHECK(worst < 1e-4);
    }
}

TEST_CASE("the increment's uncertainty covers coarsely printed times") {
    const clip_maker::Folder folder;
    for (const int digits : {4, 5}) {
        char format[16];
        std::snprintf(format, sizeof format, "%%.%df", digits);
        const double odd = 2.0003e-6;
        const auto trace = read_trace(write(folder, body([&](int i) { return printed(format, odd * i) + ",1.5"; })));
        INFO((trace ? std::string() : to_sentence(trace.error())));
        REQUIRE(trace);
        const double error = trace->increment_seconds / odd - 1.0;
        INFO(digits << " digits: off by " << error << ", said " << trace->increment_sd);
        CHECK(trace->increment_sd > 0.0);
        CHECK(std::abs(error) < 4.0 * trace->increment_sd);
        CHECK(trace->increment_sd < 0.03);
    }
}

TEST_CASE("missing values are filled, over range is told, and neither is silent") {
    const clip_maker::Folder folder;
    for (const char* missing : {"", "NaN", "-", "9.91E37", "n/a"}) {
        INFO("'" << missing << "'");
        const auto trace =
            read_trace(write(folder, "t,V\n0,1.0\n1e-6,2.0\n2e-6," + std::string(missing) + "\n3e-6,4.0\n4e-6,5.0\n"));
        REQUIRE(trace);
        CHECK(trace->columns[0].missing == 1);
        CHECK(trace->columns[0].values[2] == Approx(3.0));
        CHECK(trace->notices.size() == 1);
    }
    for (const char* over : {"OL", "-OL", "inf", "-inf", "9.9E37", "-9.9E37", "\xE2\x88\x9E", "clip", "1.#INF"}) {
        INFO(over);
        const auto trace =
            read_trace(write(folder, "t,V\n0,1.0\n1e-6,2.0\n2e-6," + std::string(over) + "\n3e-6,4.0\n4e-6,5.0\n"));
        REQUIRE(trace);
        CHECK(trace->columns[0].off_screen == 1);
        CHECK(trace->columns[0].values[2] == (over[0] == '-' ? 1.0F : 5.0F));
        CHECK(trace->notices.size() == 1);
    }
}

TEST_CASE("uneven times are resampled, and that is said") {
    const clip_maker::Folder folder;
    std::string text;
    for (int i = 0; i < rows; ++i) {
        const double t = 1e-6 * (i + 0.3 * std::sin(0.1 * i) * (i > 100) * 5.0);
        text += printed("%.9f", t) + "," + printed("%.6f", 1.0 + 1e3 * t) + "\n";
    }
    const auto trace = read_trace(write(folder, text));
    INFO((trace ? std::string() : to_sentence(trace.error())));
    REQUIRE(trace);
    REQUIRE(trace->notices.size() == 1);
    for (std::size_t i = 0; i < trace->rows(); ++i)
        CHECK(static_cast<double>(trace->columns[0].values[i]) ==
              Approx(1.0 + 1e3 * (trace->start_seconds + trace->increment_seconds * static_cast<double>(i)))
                  .margin(1e-5));
}

TEST_CASE("what cannot be read is told with its line and what would be right") {
    const clip_maker::Folder folder;
    const struct {
        const char *content, *where, *what, *todo;
    } cases[] = {
        {"", "trace.csv", "", ""},
        {"hello\nworld\n", "trace.csv", "no rows of numbers", "CSV"},
        {"t,V\n0,1\n1e-6,2\n2e-6,two\n3e-6,4\n4e-6,5\n5e-6,5\n6e-6,5\n7e-6,5\n8e-6,5\n9e-6,5\n1e-5,5\n1.1e-5,5\n1.2e-5,"
         "5\n",
         "trace.csv", "", ""},
        {"n,V\n0,1\n1,2\n2,3\n", "trace.csv:2", "time between them is not given", "--interval"},
        {"1.5\n1.6\n1.7\n", "trace.csv:1", "no column of times", "--interval"},
        {"t,V\n0,1\n1e-6,2\n3e-6,3\n2e-6,4\n4e-6,4\n", "trace.csv:5", "the time goes back from 3e-06 to 2e-06",
         "in the order of time"},
        {"t,V\n0,1\n0,2\n0,3\n", "trace.csv:4", "same time", "more digits"},
        {"t,V\n0,1\n1e-6,2\n,3\n3e-6,4\n4e-6,4\n", "trace.csv:4", "the time is missing", "every row its time"},
        {"Time,3V0\n0,000001,1,5\n0,000002,1,6\n0,000003,1,6\n", "trace.csv:2", "inside the numbers and between them",
         "semicolons"},
        {"t\n0.000001\n0.000002\n0.000003\n", "trace.csv:2", "no voltages", "channel"},
    };
    for (const auto& one : cases) {
        INFO(one.content);
        const auto trace = read_trace(write(folder, one.content));
        if (std::string(one.what).empty()) {
            if (!std::string(one.content).empty()) continue;
            CHECK(!trace);
            continue;
        }
        REQUIRE(!trace);
        INFO(to_sentence(trace.error()));
        CHECK(trace.error().where.ends_with(one.where));
        CHECK(trace.error().what.find(one.what) != std::string::npos);
        CHECK(trace.error().todo.find(one.todo) != std::string::npos);
    }
    const auto binary = read_trace(write(folder, std::string("t,V\n0,1\n\0\0\0\x7F", 12)));
    REQUIRE(!binary);
    CHECK(binary.error().what.find("no text") != std::string::npos);
    const auto nowhere = read_trace((fs::temp_directory_path() / "no such trace.csv").string());
    REQUIRE(!nowhere);
}

TEST_CASE("a word among many rows is told with its line and column, a gap with its times") {
    const clip_maker::Folder folder;
    std::string text = "t,3V0\n";
    for (int i = 0; i < 9000; ++i) text += printed("%.6f", 1e-6 * i) + (i == 6000 ? ",oops\n" : ",1.5\n");
    const auto word = read_trace(write(folder, text));
    REQUIRE(word);
    CHECK(word->rows() == 9000);
    CHECK(word->columns[0].missing == 1);
    REQUIRE(!word->notices.empty());
    CHECK(word->notices.back() == "Line 6002, column 2: 'oops' is no number; taken as a row without a value.");
    // Without times nothing says that it is a row.
    text = "3V0\n";
    for (int i = 0; i < 9000; ++i) text += i == 6000 ? "oops\n" : "1.5\n";
    const auto untimed = read_trace(write(folder, text), 1e-6);
    REQUIRE(!untimed);
    CHECK(untimed.error().where.ends_with("trace.csv:6002"));
    CHECK(untimed.error().what == "column 1: 'oops' is no number");

    text = "t,3V0\n";
    for (int i = 0; i < 500; ++i) text += printed("%.6f", 1e-6 * i + (i >= 300 ? 1e-3 : 0.0)) + ",1.5\n";
    const auto gap = read_trace(write(folder, text));
    REQUIRE(!gap);
    CHECK(gap.error().what.find("jump from 0.000299 s to 0.0013 s") != std::string::npos);
}

TEST_CASE("one broken row costs one row, wherever it stands") {
    const clip_maker::Folder folder;
    for (const int broken : {1, 2, 3, 250, 490, 497, 498}) {
        INFO("row " << broken);
        std::string text = "Time (us),3V0 (mV)\n";
        for (int i = 0; i < 500; ++i)
            text += std::to_string(2 * i) + (i == broken ? ",overflow\n" : "," + std::to_string(3300 - i % 7) + "\n");
        const auto trace = read_trace(write(folder, text));
        REQUIRE(trace);
        CHECK(trace->rows() == 500);
        CHECK(trace->increment_seconds == Approx(2e-6));
        REQUIRE(trace->columns.size() == 1);
        CHECK(trace->columns[0].name == "3V0");
        CHECK(trace->columns[0].unit == "V");
        CHECK(trace->columns[0].values[0] == Approx(3.3));
        CHECK(trace->columns[0].missing == 1);
        CHECK(trace->notices.back().find("'overflow' is no number") != std::string::npos);
    }
    // A row of words alone, and a second trace behind the first, are no slip: the line is told.
    std::string text = "Time (us),3V0 (mV)\n";
    for (int i = 0; i < 500; ++i) text += i == 250 ? "bad,bad\n" : std::to_string(2 * i) + ",3300\n";
    const auto words = read_trace(write(folder, text));
    REQUIRE(!words);
    CHECK(words.error().where.ends_with("trace.csv:252"));
}

TEST_CASE("rows without times take the interval that the caller gives") {
    const clip_maker::Folder folder;
    const auto trace = read_trace(write(folder, "1.5\n1.6\n1.7\n"), 1e-6);
    REQUIRE(trace);
    CHECK(trace->increment_seconds == 1e-6);
    CHECK(trace->rows() == 3);
    const auto commas = read_trace(write(folder, "1,0520\n1,0610\n1,0555\n"), 1e-6);
    REQUIRE(commas);
    CHECK(commas->columns[0].values[1] == Approx(1.061));
}

TEST_CASE("channels beyond those that are read are told of") {
    const clip_maker::Folder folder;
    for (const int channels : {16, 17, 40}) {
        std::string text = "t";
        for (int k = 1; k <= channels; ++k) text += ",ch" + std::to_string(k);
        text += "\n";
        for (int i = 0; i < 20; ++i) {
            text += printed("%.6f", time_of(i));
            for (int k = 0; k < channels; ++k) text += printed(",%.3f", 0.1 * k + 0.01 * (i % 3));
            text += "\n";
        }
        const auto trace = read_trace(write(folder, text));
        INFO(channels << " channels" << (trace ? std::string() : to_sentence(trace.error())));
        REQUIRE(trace);
        CHECK(trace->columns.size() == 16);
        REQUIRE(trace->notices.size() == (channels > 16 ? 1 : 0));
        if (channels > 16) CHECK(trace->notices[0].find("those after ch16 were left out") != std::string::npos);
    }
}
