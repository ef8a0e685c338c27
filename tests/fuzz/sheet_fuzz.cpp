#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "board/confusable.h"
#include "board/sheet/sheet_reader.h"
#include "support/names.h"

extern "C" {
long fuzz_inputs_refused = 0;
}

// Whatever the bytes: a sheet, or errors that say where, what and what to do; never both, and the
// sheet's indices hold for everything that reads it.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tattletone;
    const SheetReading reading = parse_sheet(std::string_view(reinterpret_cast<const char*>(data), size), "fuzz.toml");
    if (reading.sheet.has_value() == !reading.errors.empty()) std::abort();
    for (const SheetError& error : reading.errors)
        if (error.what.empty() || error.todo.empty() || error.line < 0 || to_sentence(to_error(error)).size() > 2000)
            std::abort();
    if (reading.errors.size() > 51) std::abort();
    fuzz_inputs_refused += !reading.sheet;
    if (!reading.sheet || reading.sheet->rates.size() > 20) return 0;
    LineLimits limits;
    limits.sample_rate_hz = 48000.0;
    for (std::size_t i = 0; i < reading.sheet->rates.size(); ++i)
        for (const Line& line : lines_of(*reading.sheet, static_cast<int>(i), limits))
            if (!(line.low_hz <= line.high_hz)) std::abort();
    (void)confusable_pairs(*reading.sheet, limits);
    return 0;
}
