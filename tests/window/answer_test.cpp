#include <catch2/catch.hpp>
#include <memory>

#include "support/names.h"
#include "window/answer.h"

using namespace tattletone;
using Catch::Matchers::Contains;

namespace {

/// A sheet with two states; the lamp is on in the second only, the clock runs in both.
struct Bench {
    SessionState session;
    std::shared_ptr<Findings> findings = std::make_shared<Findings>();

    Bench() {
        auto sheet = std::make_shared<BoardSheet>();
        sheet->states = {"idle", "ranging"};
        sheet->parts.resize(1);
        Rate lamp, clock;
        lamp.full_name = "lamp.dim";
        lamp.active_in = {1};
        clock.full_name = "clock.tick";
        sheet->rates = {lamp, clock};
        session.sheet = sheet;
        session.findings = findings;
    }
    void suspect(const std::string& rate, double probability) {
        findings->verdict = probability >= 0.5 ? Verdict::named : findings->verdict;
        findings->suspects.push_back({rate, "", probability, {}, {}});
    }
    void record(const std::string& state, bool room = false) {
        SessionRecording recording;
        recording.state = state;
        recording.room = room;
        recording.picture = std::make_shared<const SoundPicture>();
        session.recordings.push_back(recording);
    }
    std::string next() const { return answer_of(session).next; }
};

}  // namespace

TEST_CASE("what next: the room, then states that would tell something, then the suspect") {
    Bench bench;
    bench.session.listening = true;
    bench.suspect("lamp.dim", 0.97);
    CHECK_THAT(bench.next(), Contains("record the room"));
    bench.record("", true);
    CHECK_THAT(bench.next(), Contains("'idle'"));
    bench.record("ranging");
    CHECK_THAT(bench.next(), Contains("Stop the suspect"));  // one state is given, nothing is undecided
}

TEST_CASE("what next: a state in which one of two suspects rests, and none where both run") {
    Bench bench;
    bench.record("ranging");
    bench.record("", true);
    bench.suspect("lamp.dim", 0.6);
    bench.suspect("clock.tick", 0.4);
    CHECK_THAT(bench.next(), Contains("'idle'"));
    bench.findings->suspects[0].rate = "clock.tock";
    CHECK_THAT(bench.next(), Contains("Stop one of the suspects"));
}

TEST_CASE("what next: an unknown tone or none asks for every state") {
    Bench bench;
    bench.record("idle");
    bench.findings->verdict = Verdict::unknown;
    CHECK_THAT(bench.next(), Contains("record the room"));
    bench.record("", true);
    CHECK_THAT(bench.next(), Contains("'ranging'"));
    bench.findings->verdict = Verdict::quiet;
    CHECK_THAT(bench.next(), Contains("'ranging'"));
}

TEST_CASE("a recording with a toggle plan is told while it runs, and what it proved before all else") {
    Bench bench;
    auto plan = std::make_shared<toggle::Plan>();
    plan->parts = {"lamp"};
    auto live = std::make_shared<Snapshot>();
    live->capture_seconds = 20.0;
    bench.session.live = live;
    bench.session.step = GuidedStep{false, false, "", 67.0, plan, true};
    CHECK_THAT(answer_of(bench.session).headline, Contains("toggle plan, 47 s left"));
    bench.session.step.reset();
    bench.suspect("lamp.dim", 0.97);
    CHECK(answer_of(bench.session).trial.empty());
    bench.session.trying = "take.flac";
    CHECK_THAT(answer_of(bench.session).trial.at(0), Contains("Comparing take.flac"));
    bench.session.trying.clear();
    auto trial = std::make_shared<match::TrialJoin>();
    trial->trial.plan = *plan;
    trial->trial.lines.resize(1);
    trial->trial.lines[0].hz = 2500.0;
    trial->trial.alignment = toggle::Alignment{1.25, 0.0};
    toggle::PartTrial part;
    part.part = "lamp";
    part.p = 0.00083;
    part.drives = true;
    part.draws = 1200;
    part.effects = {{0, 12.0, 0.5, 11.0, 13.0, 0.00083}};
    trial->trial.parts = {part};
    bench.session.trial = trial;
    const Answer answer = answer_of(bench.session);
    REQUIRE(answer.trial.size() >= 2);
    CHECK_THAT(answer.headline, Contains("Proven by the toggle plan: lamp."));
    CHECK(answer.mood == Mood::named);
    CHECK_THAT(answer.next, Contains("repeat the plan"));
    CHECK_THAT(answer.trial[0], Contains("1.25 s"));
    CHECK_THAT(answer.trial[1], Contains("lamp is proven") && Contains("louder with it on") && Contains("p = 0.00083"));
    CHECK_THAT(summary_of(bench.session), Contains("lamp is proven"));
    bench.session.trial_trouble = "take.flac: too short.";
    CHECK_THAT(answer_of(bench.session).warnings.at(0), Contains("too short"));
}

TEST_CASE("a microphone that is waited for is named") {
    SessionState session;
    session.device_awaited = "Desk mic";
    CHECK(answer_of(session).headline == "Waiting for the microphone 'Desk mic'");
    CHECK(answer_of(session).mood == Mood::waiting);
}

TEST_CASE("lost samples and what the system dropped are told as long as one listens") {
    SessionState session;
    Snapshot live;
    live.lost_frames = 4800;
    live.dropouts = 1;
    session.live = std::make_shared<const Snapshot>(live);
    auto warnings = answer_of(session).warnings;
    REQUIRE(warnings.size() == 2);
    CHECK_THAT(warnings[0], Contains("4800 samples were lost"));
    CHECK_THAT(warnings[1], Contains("dropped sound 1 time."));
    session.live = std::make_shared<const Snapshot>();
    CHECK(answer_of(session).warnings.empty());
    Findings findings;
    findings.notices = {"The search was cut."};
    session.findings = std::make_shared<const Findings>(findings);
    CHECK(answer_of(session).warnings == std::vector<std::string>{"The search was cut."});
}
