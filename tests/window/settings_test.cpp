#include <catch2/catch.hpp>

#include "support/names.h"
#include "window/platform/settings.h"

using namespace tattletone;

TEST_CASE("settings come back as they were written") {
    Settings settings;
    settings.look = Look::light;
    settings.scale = 1.25;
    settings.tab = Tab::history;
    settings.by_octaves = false;
    settings.spectrogram = settings.caution_seen = true;
    settings.keep_seconds = 30;
    settings.listening = true;
    settings.width = 1024;
    settings.height = 640;
    settings.device = R"(Desk "mic" \ 2)";
    settings.sheet = "/home/a b/Gerät.toml";
    settings.save_folder = "/tmp/a\nlook = \"light\"\x1b \\u000a";
    const Settings back = settings_from(settings_text(settings));
    CHECK(back.look == settings.look);
    CHECK(back.scale == Approx(1.25));
    CHECK(back.tab == Tab::history);
    CHECK_FALSE(back.by_octaves);
    CHECK(back.spectrogram);
    CHECK(back.caution_seen);
    CHECK(back.keep_seconds == 30);
    CHECK(back.listening);
    CHECK(back.width == 1024);
    CHECK(back.height == 640);
    CHECK(back.device == settings.device);
    CHECK(back.sheet == settings.sheet);
    CHECK(back.save_folder == settings.save_folder);
}

TEST_CASE("what cannot be understood keeps its default") {
    const Settings settings = settings_from(
        "look = \"blue\"\nwidth = -3\nscale = many\nkeep_seconds = 7\n= "
        "\n\"\nnonsense\ntab=\nheight = 1e9\n");
    CHECK(settings.look == Look::dark);
    CHECK(settings.width == 1280);
    CHECK(settings.height == 800);
    CHECK(settings.scale == 1.0);
    CHECK(settings.keep_seconds == 10);
    CHECK(settings.tab == Tab::tones);
}
