#include <catch2/catch.hpp>
#include <memory>

#include "session/live/live_picture.h"
#include "support/names.h"
#include "window/keys.h"

using namespace tattletone;

namespace {

struct Table {
    std::shared_ptr<SessionState> session = std::make_shared<SessionState>();
    Shown shown;
    ViewState view;

    Table() {
        view.caution_seen = true;
        shown.session = session;
    }
    void listen() {
        session->listening = true;
        session->live = std::make_shared<const Snapshot>();
    }
    template <class Options>
    const Options* only(const char* key, bool control = false) {
        asked = request_for({key, control}, shown, view);
        return asked.size() == 1 ? std::get_if<Options>(&asked[0]) : nullptr;
    }
    Requests asked;
};

}  // namespace

TEST_CASE("keys that need a microphone mean nothing without one") {
    Table table;
    for (const char* key : {"space", "k", "m", "r", "s", "f", "n", "backspace"})
        CHECK(request_for({key, false}, table.shown, table.view).empty());
    table.listen();
    REQUIRE(table.only<ask::Pause>("space"));
    CHECK(table.only<ask::Pause>("space")->paused);
    REQUIRE(table.only<ask::KeepPast>("k"));
    CHECK(table.only<ask::KeepPast>("k")->seconds == 10.0);
    REQUIRE(table.only<ask::BeginStep>("r"));
    CHECK(table.only<ask::BeginStep>("r")->room);
    CHECK(table.only<ask::BeginStep>("r")->seconds == 5.0);
}

TEST_CASE("K keeps as much as was chosen, and no choice is more than what is remembered of the sound") {
    Table table;
    table.listen();
    for (const int seconds : keep_choices_seconds) {
        table.view.keep_seconds = seconds;
        REQUIRE(table.only<ask::KeepPast>("k"));
        CHECK(table.only<ask::KeepPast>("k")->seconds == seconds);
        CHECK(seconds <= LivePicture::longest_past_seconds);
    }
}

TEST_CASE("T shows the toggle plan, and Esc ends a recording with one before it closes it") {
    Table table;
    REQUIRE(table.only<ask::ShowOver>("t"));
    CHECK(table.only<ask::ShowOver>("t")->over == Over::toggle);
    table.view.over = Over::toggle;
    REQUIRE(table.only<ask::ShowOver>("escape"));
    table.listen();
    table.session->step = GuidedStep{false, false, "", 60.0, std::make_shared<const toggle::Plan>(), true};
    CHECK(table.only<ask::CancelStep>("escape"));
    CHECK(request_for({"space", false}, table.shown, table.view).empty());
}

TEST_CASE("S records the next state that has no recording") {
    Table table;
    table.listen();
    auto sheet = std::make_shared<BoardSheet>();
    sheet->states = {"idle", "ranging"};
    table.session->sheet = sheet;
    REQUIRE(table.only<ask::BeginStep>("s"));
    CHECK(table.only<ask::BeginStep>("s")->state == "idle");
    SessionRecording done;
    done.state = "idle";
    done.picture = std::make_shared<const SoundPicture>();
    table.session->recordings.push_back(done);
    REQUIRE(table.only<ask::BeginStep>("s"));
    CHECK(table.only<ask::BeginStep>("s")->state == "ranging");
}

TEST_CASE("before the caution is read nothing else is heard") {
    Table table;
    table.view.over = Over::caution;
    for (const char* key : {"escape", "space", "1", "d", "f1", "z"})
        for (const Request& request : request_for({key, false}, table.shown, table.view))
            CHECK(std::holds_alternative<ask::SelectTone>(request));
    CHECK(table.only<ask::AcceptCaution>("enter"));
}

TEST_CASE("the frequent things have keys") {
    Table table;
    CHECK(table.only<ask::ShowOpen>("o", true));
    CHECK(table.only<ask::SavePicture>("s", true));
    CHECK(table.only<ask::SaveFindings>("j", true));
    CHECK(table.only<ask::CopySummary>("c", true));
    CHECK(table.only<ask::ShowAll>("home"));
    CHECK(table.only<ask::SetDivision>("l"));
    CHECK(table.only<ask::StepSelection>("down"));
    REQUIRE(table.only<ask::ShowTab>("3"));
    CHECK(table.only<ask::ShowTab>("3")->tab == Tab::follow);
    REQUIRE(table.only<ask::ShowOver>("f1"));
    CHECK(table.only<ask::ShowOver>("f1")->over == Over::help);
}

TEST_CASE("B opens the way into the logbook, with and without a microphone") {
    Table table;
    CHECK(table.only<ask::ShowStore>("b"));
    table.view.over = Over::store;
    CHECK(request_for({"b", false}, table.shown, table.view).empty());
    REQUIRE(table.only<ask::ShowOver>("escape"));
    CHECK(table.only<ask::ShowOver>("escape")->over == Over::nothing);
}
