#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "support/names.h"
#include "window/platform/settings.h"

// Whatever the bytes: settings within their ranges, and what is written of them reads back the same.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tattletone;
    const Settings settings = settings_from(std::string_view(reinterpret_cast<const char*>(data), size));
    if (!(settings.scale >= 0.5 && settings.scale <= 4.0)) std::abort();
    if (settings.width < 640 || settings.width > 20000 || settings.height < 480 || settings.height > 20000)
        std::abort();
    if (settings.keep_seconds < 1 || settings.keep_seconds > 600) std::abort();
    const std::string text = settings_text(settings);
    for (const char c : text)
        if ((static_cast<unsigned char>(c) < 0x20 && c != '\n') || c == 0x7F) std::abort();
    const Settings again = settings_from(text);
    if (settings_text(again) != text) std::abort();
    if (again.device != settings.device || again.sheet != settings.sheet || again.save_folder != settings.save_folder)
        std::abort();
    return 0;
}
