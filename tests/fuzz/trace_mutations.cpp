// Seeded mutations of oscilloscope files: the reader gives an even trace of finite numbers or an error that
// names the file, and never anything else.
// trace_mutations [seed] [rounds]

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "mutate.h"
#include "sound/trace_file.h"

namespace {

using namespace tattletone;

std::string rows(const char* format, int count) {
    std::string text;
    char line[128];
    for (int i = 0; i < count; ++i) {
        std::snprintf(line, sizeof line, format, 1e-6 * i, i % 7 == 0 ? 2.9 : 3.3);
        text += line;
    }
    return text;
}

const std::vector<std::string> seeds = {
    "Time (s),3V0 (V)\n" + rows("%.6f,%.3f\n", 40),
    "\xEF\xBB\xBF# remark\r\nt;U\r\nms;mV\r\n0,001;3,1\r\n0,002;3,2\r\n0,003;OL\r\n0,004;\r\n",
    "X,CH1,Start,Increment\nSequence,Volt,-1e-3,2e-6\n0,1.5,,\n1,1.6,,\n2,1.4,,\n3,1.4,,\n",
    "Record Length,4,Points,0.1,1.5\nSample Interval,0.1,s,0.2,1.5\n,,,0.3,1.5\n,,,0.4,1.6\n",
    "Sample rate: 2.5 MHz\n" + rows("%.7f %.2e\n", 12),
    rows("%.0e\t%.4f\t9.91E37\n", 30)};

const std::vector<std::string> tokens = {",", ";", "\t", " ", "\n", "\r", ".", "-", "+", "e", "E", "nan", "inf", "-inf", "9.9E37",
                                         "9.91E37", "OL", "1e308", "1e-400", "1e400", "\"", "#", "%", "(mV)", "[us]", "\xC2\xB5",
                                         "\xFF\xFE", "\xFE\xFF", "\xD8", std::string(1, '\0'), "Increment,1e-6\n", "Increment,0\n",
                                         "Increment,-1\n", "Start=1e300\n", "0", ",,,,,,,,,,,,,,,,,,,,,,,", "\xFF"};

std::string complaint(const Result<TraceFile>& trace, const std::string& path) {
    if (!trace) {
        const Error& error = trace.error();
        if (error.where.find(path) != 0 || error.what.empty() || error.todo.empty()) return "an error lacks a part: " + to_sentence(error);
        for (const char c : to_sentence(error))
            if (static_cast<unsigned char>(c) < 0x20) return "an error holds a control character";
        return {};
    }
    if (!(trace->increment_seconds > 0.0) || !std::isfinite(trace->increment_seconds)) return "the increment is no time";
    if (!std::isfinite(trace->start_seconds) || !std::isfinite(trace->increment_sd)) return "the start or the uncertainty is no number";
    if (trace->columns.empty() || trace->rows() < 2) return "nothing in it";
    for (const TraceColumn& column : trace->columns) {
        if (column.values.size() != trace->rows()) return "columns differ in length";
        for (const float value : column.values)
            if (!std::isfinite(value)) return "a value is no number";
    }
    return {};
}

}  // namespace

int main(int count, char** words) {
    const auto seed = static_cast<std::uint32_t>(count > 1 ? std::strtoul(words[1], nullptr, 10) : 1);
    const long rounds = count > 2 ? std::strtol(words[2], nullptr, 10) : 20000;
    std::mt19937 random(seed);
    std::printf("seed %u, %ld rounds\n", seed, rounds);
    std::fflush(stdout);
    const std::string path = "trace_mutations.last";
    long read = 0;
    for (long round = 0; round < rounds; ++round) {
        std::string text = seeds[below(random, seeds.size())];
        for (std::size_t i = 0; i <= below(random, 8); ++i) mutate(text, seeds, tokens, random);
        std::ofstream(path, std::ios::binary) << text;
        const auto trace = read_trace(path);
        read += static_cast<bool>(trace);
        if (const std::string wrong = complaint(trace, path); !wrong.empty()) {
            std::printf("round %ld: %s; the text is left in %s\n", round, wrong.c_str(), path.c_str());
            return 1;
        }
    }
    std::printf("%ld read, %ld refused\n", read, rounds - read);
    std::filesystem::remove(path);
    return read > rounds / 10 && read < rounds ? 0 : 1;
}
