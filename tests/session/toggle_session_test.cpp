// A sitting with a toggle plan: which part sings is proven by a recording of the session.

#include <filesystem>
#include <fstream>

#include "session/scripted_source.h"
#include "session/session_wait.h"
#include "sound/clip/clip_writer.h"
#include "toggled_sound.h"

using namespace tattletone;
using namespace tattletone::scenes;

namespace {

namespace fs = std::filesystem;

struct TernTake {
    fs::path folder = fs::temp_directory_path() / ("tattletone-toggle-" + std::to_string(std::random_device()()));
    toggle::Plan plan;

    TernTake() {
        fs::create_directories(folder);
        plan.parts = {"lamp", "pump"};
        toggle::Generator generator(41);
        plan.columns = toggle::draw_columns(generator, 2, 60);
        std::ofstream(path("plan.csv")) << toggle::plan_csv(plan);
        std::ofstream(path("tern.toml")) << "[board]\nname = \"Tern\"\n[[part]]\nid = \"lamp\"\n[[part.rate]]\nid = "
                                            "\"dimming\"\nhz = 2500\ntolerance_ppm = 100\n[[part]]\nid = \"pump\"\n";
        Performance performance;
        performance.seconds = 32.0;
        performance.lines = {{0, 2500.0, 3.0}};
        Random random(3);
        const auto recording =
            recording_of(perform(performance, plan.step_seconds, plan.steps(), switching_of(plan), random), 16000.0);
        REQUIRE_FALSE(sound::write_clip(base::OutputFile{base::OutputKind::recording, path("take.flac")}, recording,
                                        sound::ClipFormat::flac_24));
    }
    ~TernTake() { fs::remove_all(folder); }
    std::string path(const char* name) const { return (folder / name).string(); }
};

}  // namespace

TEST_CASE("a recording that was made with the open plan is a trial, and is none without it") {
    const TernTake take;
    Session session{SessionOptions()};
    session.open_sheet(take.path("tern.toml"));
    session.open_plan(take.path("plan.csv"));
    session.add_recordings({{take.path("take.flac"), "", "", false}});
    auto state = wait(session, [](const SessionState& s) { return s.findings && s.plan && s.recordings[0].picture; });
    CHECK(state->plan->name == "plan.csv");
    CHECK(state->plan->whole_from_db < 0.0);
    CHECK_FALSE(state->trial);
    const int id = state->recordings[0].id;
    session.set_toggled(id, true);
    state = wait(session, [](const SessionState& s) { return s.trial != nullptr; });
    CHECK(state->trial->trial.parts[0].drives == true);
    CHECK(state->trial->trial.parts[1].drives == false);
    CHECK(state->trying.empty());
    REQUIRE_FALSE(state->findings->suspects.empty());
    CHECK(state->findings->suspects[0].rate == "lamp.dimming");
    session.set_toggled(id, false);
    wait(session, [](const SessionState& s) { return s.trial == nullptr && s.findings; });
}

TEST_CASE("a plan of another board's parts is refused, and what cannot be read as one is told") {
    const TernTake take;
    Session session{SessionOptions()};
    session.open_sheet(samples + "limpet.toml");
    session.open_plan(take.path("tern.toml"));
    auto state = wait(session, [](const SessionState& s) { return s.sheet && !s.notes.empty(); });
    CHECK(state->notes.back().trouble);
    CHECK_FALSE(state->plan);
    session.open_plan(take.path("plan.csv"));
    session.add_recordings({{take.path("take.flac"), "", "", false}});
    state = wait(session, [](const SessionState& s) { return s.findings && s.plan; });
    session.set_toggled(state->recordings[0].id, true);
    state = wait(session, [](const SessionState& s) { return !s.trial_trouble.empty(); });
    CHECK(state->trial_trouble.find("no part 'pump'") != std::string::npos);
    session.draw_plan({{"lamp", "screen"}, 90.0, 3.0, true, 5});
    state = wait(session, [](const SessionState& s) { return s.plan && s.plan->name.empty(); });
    CHECK(state->plan->plan->steps() == 30);
    session.draw_plan({{"lamp"}, 9.0, 3.0, true, 5});
    state = wait(session, [&](const SessionState& s) { return s.notes.size() > 1; });
    CHECK(state->notes.back().text.find("too few to prove anything") != std::string::npos);
}

TEST_CASE("a capture goes on through a gap and marks it where it is asked to, and begins anew where not") {
    for (const bool through : {true, false}) {
        auto script = std::make_shared<ScriptedSource::Script>();
        session::LiveOptions options;
        options.pictures = true;
        auto ear = session::LiveEar::start(
            std::make_unique<ScriptedSource>(script), [](const sound::Recording&) { return tones::Tones(); }, options);
        REQUIRE(ear);
        const int number = (*ear)->capture(2.0, through);
        const auto wait_for = [&](const std::function<bool(const session::Snapshot&)>& condition) {
            const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(100);
            while (!condition(*(*ear)->newest()) && std::chrono::steady_clock::now() < end)
                std::this_thread::sleep_for(std::chrono::milliseconds(5));
            REQUIRE(condition(*(*ear)->newest()));
        };
        std::this_thread::sleep_for(std::chrono::milliseconds(300));
        script->say(std::vector<float>(8000, 0.01f));
        wait_for([](const auto& s) { return s.capture_seconds > 0.99; });
        script->say(std::vector<float>(8000, 0.02f), true);
        if (!through) script->say(std::vector<float>(8000, 0.02f));
        wait_for([](const auto& s) { return !s.kept.empty(); });
        const auto& [kept, recording] = (*ear)->newest()->kept.back();
        CHECK(kept == number);
        REQUIRE(recording->samples.size() == 16000);
        CHECK(recording->samples[0] == (through ? 0.01f : 0.02f));
        CHECK(recording->gaps == (through ? std::vector<std::size_t>{8000} : std::vector<std::size_t>{}));
    }
}
