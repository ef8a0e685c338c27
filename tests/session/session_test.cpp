#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <thread>

#include "session/session_wait.h"
#include "sound/clip/clip_reader.h"
#include "support/names.h"
#include "tones/find_tones.h"

using namespace tattletone;
using namespace std::chrono_literals;

namespace {

namespace fs = std::filesystem;

struct Folder {
    fs::path path;
    Folder()
        : path(fs::temp_directory_path() /
               ("tattletone-session-" + std::to_string(std::chrono::steady_clock::now().time_since_epoch().count()))) {
        fs::create_directories(path);
    }
    ~Folder() { fs::remove_all(path); }
};

SessionOptions keeping_in(const std::string& folder) {
    SessionOptions options;
    options.keep_folder = folder;
    return options;
}

bool settled(const SessionState& state) {
    for (const SessionRecording& recording : state.recordings)
        if (!recording.picture && recording.trouble.empty()) return false;
    return state.findings != nullptr;
}

}  // namespace

TEST_CASE("recordings with a sheet and the room are diagnosed, roles and removal change the answer") {
    Session session{SessionOptions()};
    session.open_sheet(samples + "limpet.toml");
    session.add_recordings({{samples + "sounding.flac", "sounding", "", false},
                            {samples + "reading.flac", "reading", "", false},
                            {samples + "room.flac", "", "", true}});
    auto state = wait(session, [](const SessionState& s) {
        return settled(s) && s.sheet && s.room_given && s.findings->unit.takes.size() == 2;
    });
    REQUIRE_FALSE(state->findings->suspects.empty());
    CHECK(state->findings->suspects[0].rate == "lamp.dimming");  // samples/README.md
    for (const SessionRecording& recording : state->recordings) {
        CHECK(recording.tracks != nullptr);
        CHECK_FALSE(recording.picture->spectrum.dbfs_per_hz.empty());
    }
    const int reading = state->recordings[1].id;
    session.remove_recording(reading);
    state = wait(session, [](const SessionState& s) { return s.findings && s.findings->unit.takes.size() == 1; });
    CHECK(state->findings->verdict != Verdict::named);  // the lamp is off while it sounds
}

TEST_CASE("what cannot be read is told, and does not stop the rest") {
    Session session{SessionOptions()};
    session.add_recordings({{"/nonexistent/a.flac", "", "", false}, {samples + "clear.flac", "", "", false}});
    const auto state = wait(session, settled);
    CHECK(state->recordings[0].trouble.find("/nonexistent/a.flac") != std::string::npos);
    CHECK(state->findings->verdict == Verdict::unknown);  // without a sheet nobody is named
}

TEST_CASE(
    "a sheet with errors tells them by line, keeps no stale sheet, and is read again when it "
    "changes") {
    const Folder folder;
    const std::string path = (folder.path / "board.toml").string();
    std::ofstream(path) << "[board]\nname = \"X\"\n[[part]]\nid = \"a\"\n[[part.rate]]\nid = \"r\"\nhz = -5\n";
    Session session{SessionOptions()};
    session.open_sheet(path);
    auto state = wait(session, [](const SessionState& s) { return !s.sheet_errors.empty(); });
    CHECK(state->sheet_errors[0].line == 7);
    CHECK(state->sheet == nullptr);
    std::this_thread::sleep_for(50ms);
    std::ofstream(path) << "[board]\nname = \"X\"\n[[part]]\nid = \"a\"\n[[part.rate]]\nid = \"r\"\nhz = 500\n";
    state = wait(session, [](const SessionState& s) { return s.sheet != nullptr; });
    CHECK(state->sheet_errors.empty());
}

TEST_CASE("an earlier session keeps its states and its room, and changes of role count") {
    Session session{SessionOptions()};
    session.open_sheet(samples + "limpet.toml");
    session.add_recordings({{samples + "reading.flac", "reading", "", false}, {samples + "room.flac", "", "", true}});
    wait(session, [](const SessionState& s) { return settled(s) && s.room_given; });
    session.set_aside();
    session.add_before({{samples + "sounding.flac", "", "", false}});
    auto state =
        wait(session, [](const SessionState& s) { return s.before_tones && s.before_tones->takes.size() == 2; });
    CHECK(state->recordings.empty());
    CHECK_FALSE(state->findings);
    CHECK(state->before_tones->takes[0].state == "reading");
    // The fan near 374 Hz stands in the room recording (make_samples.cpp).
    const auto& tones = state->before_tones->tones;
    CHECK(
        std::any_of(tones.begin(), tones.end(), [](const UnitTone& tone) { return tone.tone.origin == Origin::room; }));
    const int late = state->before[2].id;
    session.set_role(late, "sounding", false);
    wait(session, [](const SessionState& s) { return s.before_tones->takes[1].state == "sounding"; });
    session.remove_recording(late);
    wait(session, [](const SessionState& s) { return s.before_tones->takes.size() == 1; });
    session.forget_before();
    state = session.newest();
    CHECK((state->before.empty() && !state->before_tones));
}

TEST_CASE("the demo is heard as if live, what is kept stands in a file and says the same") {
    const Folder folder;
    Session session(keeping_in((folder.path / "kept").string()));
    session.play_demo(samples + "clear.flac", samples + "room.flac", samples + "limpet.toml");
    auto state = wait(session, [](const SessionState& s) {
        return s.live && s.live->tones && s.findings && s.live_counts && s.findings->verdict == Verdict::named;
    });
    CHECK(state->findings->suspects[0].rate == "sounder.frame");
    CHECK(state->live->spectrum != nullptr);
    wait(session, [](const SessionState& s) { return s.live->seconds_heard > 5.0; });
    session.follow(6400.08, 3.0);
    session.keep_past(4.0);
    state = wait(session, [](const SessionState& s) {
        return s.live->followed_hz && s.recordings.size() == 2 && s.recordings[1].picture &&
               !s.recordings[1].path.empty();
    });
    // 6400.077 Hz is the strongest line of clear.flac, and nothing else is within 3 Hz.
    CHECK(state->live->followed.hz == Approx(6400.08).margin(2.0));
    CHECK(fs::exists(state->recordings[1].path));
    CHECK(state->recordings[1].picture->found.seconds == Approx(4.0).margin(0.01));
    session.pause(true);
    state = wait(session, [](const SessionState& s) { return s.live->paused; });
    const double heard = state->live->seconds_heard;
    std::this_thread::sleep_for(400ms);
    CHECK(session.newest()->live->seconds_heard == heard);
}

TEST_CASE("a guided step keeps the next seconds without a gap, and can be called off") {
    const Folder folder;
    Session session(keeping_in(folder.path.string()));
    session.play_demo(samples + "clear.flac", "", samples + "limpet.toml");
    wait(session, [](const SessionState& s) { return s.live != nullptr; });
    session.begin_step({false, false, "sounding", 30.0});
    auto state = wait(session, [](const SessionState& s) { return s.live->capture_seconds > 0.3; });
    CHECK(state->step);
    CHECK(state->live_state == "sounding");
    session.cancel_step();
    session.begin_step({true, false, "", 1.0});
    state = wait(session, [](const SessionState& s) { return !s.recordings.empty() && s.recordings[0].picture; });
    CHECK(state->recordings[0].room);
    CHECK_FALSE(state->step);
    CHECK(state->recordings[0].picture->found.seconds == Approx(1.0).margin(1e-4));
}

TEST_CASE("however little of the demo was heard, its fan and hum are never the board's") {
    // What stands below 1 kHz in clear.flac is the fan near 187 Hz and the mains: make_samples.cpp.
    const auto clip = read_clip(samples + "clear.flac"), room = read_clip(samples + "room.flac");
    REQUIRE(clip);
    REQUIRE(room);
    const Tones of_room = find_tones(*room);
    const auto quarter = static_cast<std::size_t>(0.25 * clip->sample_rate_hz);
    for (std::size_t length = 2 * quarter; length <= clip->samples.size(); length += quarter) {
        Recording heard = *clip;
        heard.samples.resize(length);
        const UnitTones unit = unite({{"live", "", "", find_tones(heard)}}, &of_room);
        for (const UnitTone& tone : unit.tones) {
            INFO(tone.tone.hz << " Hz after " << heard.seconds() << " s");
            CHECK((tone.tone.hz > 1000.0 || tone.tone.origin != Origin::board));
        }
    }
}
