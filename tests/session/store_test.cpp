#include <catch2/catch.hpp>

#include <filesystem>
#include <tuple>

#include "logbook/folder.h"
#include "logbook/units/measurements.h"
#include "session/session_wait.h"
#include "support/names.h"

using namespace tattletone;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

SessionOptions options_for(const std::string& logbook) {
    SessionOptions options;
    options.logbook_path = logbook;
    options.user = "ada";
    return options;
}

/// A recording of the board, and one of the room, analysed.
void record(Session& session, const std::string& clip = "reading.flac", const std::string& board_state = "reading") {
    session.open_sheet(samples + "limpet.toml");
    session.add_recordings({{samples + clip, board_state, "", false}, {samples + "room.flac", "", "", true}});
    const auto state = wait(session, [](const SessionState& s) {
        return s.sheet && s.recordings.size() == 2 && s.recordings[0].picture && s.recordings[1].picture;
    });
    session.set_spot(state->recordings[0].id, "coil");
}

SessionNote next_note(const Session& session, std::size_t before) {
    return wait(session, [&](const SessionState& s) { return s.notes.size() > before; })->notes.back();
}

}  // namespace

TEST_CASE("what is stored from a session stands in the logbook, with all that was said of it") {
    const Folder folder;
    const std::string path = (folder.path / "new" / "bench.logbook").string();
    Session session(options_for(path));
    StoreOptions chosen;
    chosen.serial = "K-7";
    chosen.new_unit = true;
    chosen.batch = "B1";
    chosen.microphone = "laptop";
    chosen.distance_cm = 3.5;
    session.store(chosen);  // nothing is there yet
    CHECK_THAT(next_note(session, 0).text, Contains("no recording of the board to store"));
    CHECK_FALSE(std::filesystem::exists(path));

    record(session);
    session.store(chosen);
    CHECK_THAT(next_note(session, 1).text, StartsWith("Stored as measurement "));
    auto state = wait(session, [](const SessionState& s) { return s.units && !s.storing; });
    REQUIRE(state->units->size() == 1);
    CHECK(state->units->front().serial == "K-7");
    CHECK(state->recordings.size() == 2);

    chosen.new_unit = false;
    chosen.clear = true;
    session.store(chosen);
    CHECK_THAT(next_note(session, 2).text, Contains("of unit K-7"));
    state = wait(session, [](const SessionState& s) { return s.recordings.size() == 1; });
    CHECK(state->recordings[0].room);

    auto logbook = Logbook::open(path, Logbook::Mode::look_only);
    REQUIRE(logbook);
    const auto unit = find_unit(*logbook, "K-7");
    REQUIRE(unit);
    CHECK(unit->board == "Limpet");
    CHECK(unit->batch == "B1");
    const auto stored = list_measurements(*logbook, unit->id);
    REQUIRE(stored);
    REQUIRE(stored->size() == 2);
    for (const Measurement& measurement : *stored) {
        CHECK(measurement.circumstances.measured_by == "ada");
        CHECK(measurement.circumstances.microphone == "laptop");
        CHECK(measurement.circumstances.distance_cm == 3.5);
        CHECK(measurement.verdict == "named");
        CHECK_THAT(measurement.answer, Contains("lamp.dimming"));  // samples/README.md
        REQUIRE(measurement.takes.size() == 2);
        CHECK(measurement.takes[0].state == "reading");
        CHECK(measurement.takes[0].spot == "coil");
        CHECK(measurement.takes[1].role == TakeRole::room);
        CHECK(measurement.takes[0].clip == stored->front().takes[0].clip);  // kept once
        for (const auto& take : measurement.takes) CHECK_FALSE(take.clip.empty());
    }
}

TEST_CASE("what cannot be stored is told, and the recordings stay") {
    const Folder folder;
    StoreOptions chosen;
    chosen.serial = "9";
    chosen.clear = true;
    for (const auto& [path, is_new, told] : {std::tuple{std::string(), true, "Start the window with --logbook FILE"},
                                             {std::string("/proc/no/b.logbook"), true, "Make the folder"},
                                             {(folder.path / "none.logbook").string(), false, "there is no logbook"}}) {
        INFO(path);
        Session session(options_for(path));
        record(session);
        chosen.new_unit = is_new;
        session.store(chosen);
        const SessionNote note = next_note(session, 0);
        CHECK(note.trouble);
        CHECK_THAT(note.text, Contains(told));
        CHECK(session.newest()->recordings.size() == 2);
        CHECK_FALSE(session.newest()->storing);
    }
}

TEST_CASE("what the bench has said of a rate counts in the window, unless it is to be ignored") {
    const Folder folder;
    const std::string path = (folder.path / "bench.logbook").string();
    {
        Session session(options_for(path));
        record(session, "wandering.flac", "");  // named at 0.97
        StoreOptions chosen;
        chosen.serial = "1";
        chosen.new_unit = true;
        session.store(chosen);
        REQUIRE_FALSE(next_note(session, 0).trouble);
        auto logbook = Logbook::open(path, Logbook::Mode::existing);
        REQUIRE(logbook);
        Opinion opinion;
        opinion.unit = find_unit(*logbook, "1")->id;
        opinion.board = "Limpet";
        opinion.rate = "core-regulator.burst";
        opinion.said = "rejected";
        REQUIRE_FALSE(add_opinion(*logbook, opinion));
    }
    double probability[2] = {};
    for (const bool ignored : {false, true}) {
        SessionOptions options = options_for(path);
        options.ignore_confirmed = ignored;
        Session session(options);
        record(session, "wandering.flac", "");  // named at 0.97
        const auto state = wait(session, [](const SessionState& s) {
            return s.room_given && s.findings && !s.findings->suspects.empty() && s.findings->unit.takes.size() == 1 &&
                   s.findings->unit.takes[0].spot == "coil";
        });
        CHECK((state->confirmed == nullptr) == ignored);
        if (state->confirmed) CHECK(state->confirmed->factors.at("core-regulator.burst") == Approx(0.5));
        for (const Suspect& suspect : state->findings->suspects)
            if (suspect.rate == "core-regulator.burst") probability[ignored] = suspect.probability;
    }
    CHECK(probability[0] > 0.0);
    CHECK(probability[0] < probability[1]);
}
