#include <sys/mman.h>
#include <unistd.h>

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "scope/trace_file.h"
#include "scope/trace_rate.h"
#include "support/names.h"

extern "C" {
long fuzz_inputs_refused = 0;
}

namespace {

using namespace tattletone;

// The reader takes a path; this one leads to memory.
int memory_file() {
    static const int file = memfd_create("trace", 0);
    return file;
}

void check_shape(const TraceFile& trace) {
    for (const TraceColumn& column : trace.columns) {
        if (column.values.size() != trace.rows()) std::abort();
        for (const float value : column.values)
            if (!std::isfinite(value)) std::abort();
        const TraceShape shape = analyse_trace(column.values, trace.increment_seconds, trace.increment_sd);
        if (!(shape.minimum <= shape.maximum) || !(shape.below_share >= 0.0 && shape.below_share <= 1.0)) std::abort();
        if (!shape.repetition) continue;
        const Repetition& r = *shape.repetition;
        if (!(r.hz > 0.0) || !std::isfinite(r.hz) || !(r.hz_sd > 0.0) || !std::isfinite(r.hz_sd)) std::abort();
    }
}

}  // namespace

// Whatever the bytes: an even trace of finite numbers and a shape of it, or an error that names the file and what
// to do.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const int file = memory_file();
    if (file < 0 || ftruncate(file, 0) != 0 || pwrite(file, data, size, 0) != static_cast<ssize_t>(size)) std::abort();
    const std::string path = "/proc/self/fd/" + std::to_string(file);
    const auto trace = read_trace(path);
    if (!trace) {
        const Error& error = trace.error();
        if (error.where.find(path) != 0 || error.what.empty() || error.todo.empty() || to_sentence(error).size() > 2000)
            std::abort();
        ++fuzz_inputs_refused;
        return 0;
    }
    if (!(trace->increment_seconds > 0.0) || !std::isfinite(trace->increment_seconds)) std::abort();
    if (!std::isfinite(trace->start_seconds) || !std::isfinite(trace->increment_sd)) std::abort();
    if (trace->columns.empty() || trace->rows() < 2) std::abort();
    check_shape(*trace);
    return 0;
}
