// One sound is evidence once in the window too.

#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <filesystem>

#include "session/session_wait.h"
#include "session/sitting/once.h"
#include "support/names.h"

using namespace tattletone;

namespace {

namespace fs = std::filesystem;

struct TrialFolder {
    fs::path path;
    TrialFolder()
        : path(fs::temp_directory_path() /
               ("tattletone-once-" + std::to_string(std::chrono::steady_clock::now().time_since_epoch().count()))) {
        fs::create_directories(path);
    }
    ~TrialFolder() { fs::remove_all(path); }
};

SessionRecording segment(int id, int listening, std::uint64_t from, std::uint64_t to) {
    static const auto picture = std::make_shared<const session::SoundPicture>();
    SessionRecording recording;
    recording.id = id;
    recording.name = "segment " + std::to_string(id);
    recording.listening = listening;
    recording.from_frame = from;
    recording.to_frame = to;
    recording.picture = picture;
    return recording;
}

std::vector<std::string> same_as(std::vector<SessionRecording> recordings) {
    session::mark_same_sound(recordings);
    std::vector<std::string> names;
    for (const SessionRecording& recording : recordings) names.push_back(recording.same_as);
    return names;
}

}  // namespace

TEST_CASE("kept segments of one listening count once where they overlap, by their samples") {
    using Names = std::vector<std::string>;
    CHECK(same_as({segment(1, 1, 0, 480), segment(2, 1, 480, 960)}) == Names{"", ""});
    CHECK(same_as({segment(1, 1, 0, 480), segment(2, 1, 479, 960)}) == Names{"", "segment 1"});
    CHECK(same_as({segment(1, 1, 0, 480), segment(2, 2, 0, 480)}) == Names{"", ""});
    // The third meets only the one that does not count.
    CHECK(same_as({segment(1, 1, 0, 480), segment(2, 1, 240, 720), segment(3, 1, 600, 1080)}) ==
          Names{"", "segment 1", ""});
    auto room = segment(1, 1, 0, 480);
    room.room = true;
    CHECK(same_as({room, segment(2, 1, 240, 720)}) == Names{"", ""});

    Recording window;
    window.samples.resize(480);
    window.first_frame = 400;
    CHECK(session::is_kept({segment(1, 1, 0, 480)}, 1, window));
    CHECK(session::is_kept({room}, 1, window));
    CHECK_FALSE(session::is_kept({segment(1, 1, 0, 400)}, 1, window));
    CHECK_FALSE(session::is_kept({segment(1, 1, 0, 480)}, 2, window));
    CHECK_FALSE(session::is_kept({}, 1, window));
}

// Trials of the window, row 1: three presses on the same ten seconds turned 0.70 into 0.99.
TEST_CASE("kept three times the same seconds are one take, and live they count no longer") {
    const TrialFolder folder;
    SessionOptions options;
    options.keep_folder = folder.path.string();
    Session session(options);
    session.play_demo(samples + "clear.flac", "", samples + "limpet.toml");
    wait(session, [](const SessionState& s) { return s.live && s.live->seconds_heard > 4.0 && s.live_counts; });
    session.pause(true);
    wait(session, [](const SessionState& s) { return s.live->paused; });
    for (int i = 0; i < 3; ++i) session.keep_past(3.0);
    auto state = wait(session, [](const SessionState& s) {
        return s.recordings.size() == 3 && s.findings && !s.live_counts &&
               std::all_of(s.recordings.begin(), s.recordings.end(),
                           [](const SessionRecording& r) { return r.picture && !r.path.empty(); }) &&
               !s.recordings[1].same_as.empty() && !s.recordings[2].same_as.empty();
    });
    CHECK(state->recordings[0].same_as.empty());
    CHECK(state->findings->unit.takes.size() == 1);
    // Without the first the second counts.
    session.remove_recording(state->recordings[0].id);
    state = wait(session, [](const SessionState& s) {
        return s.recordings.size() == 2 && s.recordings[0].same_as.empty() && s.findings &&
               s.findings->unit.takes.size() == 1;
    });
    CHECK(state->recordings[1].same_as == state->recordings[0].name);
}
