#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "board/sheet/sheet_reader.h"
#include "logbook/units/units.h"
#include "match/findings.h"
#include "match/toggle_match.h"
#include "report/confirmed.h"
#include "session/live/live_ear.h"
#include "session/live/tone_tracks.h"
#include "session/sitting/clip_analysis.h"
#include "sound/capture/devices.h"
#include "toggle/plan/plan.h"

namespace tattletone::session {

/// One recording of the session: a file, or a segment kept while listening.
struct SessionRecording {
    int id = 0;        ///< never used twice
    std::string name;  ///< for the user: the file's name
    std::string path;  ///< empty while it is not kept in a file
    std::string state, spot;
    bool room = false;                         ///< the board was unpowered: not a take, what is in it is the room's
    bool far = false;                          ///< from 60 cm: not a take, tells how far tones fall
    std::shared_ptr<const toggle::Plan> plan;  ///< by which parts were switched meanwhile; null: by none
    double share = 0.0;                        ///< how far its analysis is
    /// Of a segment kept while listening: which listening, and which of its samples.
    int listening = 0;
    std::uint64_t from_frame = 0, to_frame = 0;
    std::string same_as;  ///< the recording that holds its sound already, so that it counts once; empty: none
    std::string trouble;  ///< why there is nothing in it; a sentence
    std::shared_ptr<const SoundPicture> picture;  ///< null until it is analysed
    std::shared_ptr<const std::vector<ToneTrack>> tracks;
};

/// The recordings of a list that are analysed, by what they are to the answer.
struct Roles {
    std::vector<tones::Take> takes, far;
    const tones::Tones* room = nullptr;  ///< null where there is none
};
Roles roles_of(const std::vector<SessionRecording>& recordings);

/// Something to tell the user once.
struct SessionNote {
    int id = 0;
    bool trouble = false;
    std::string text;
};

/// A guided step that runs: the sound of the next seconds is kept.
struct GuidedStep {
    bool room = false, far = false;
    std::string state;
    double seconds = 0.0;
    std::shared_ptr<const toggle::Plan> plan = nullptr;  ///< parts are switched by it meanwhile
    bool by_hand = false;                                ///< and the person who does it is told when
};

/// A plan that a recording is going to be made with, or was.
struct OpenPlan {
    std::string name;  ///< of its file; empty: drawn here
    std::shared_ptr<const toggle::Plan> plan;
    double whole_from_db = 0.0;  ///< what it can find (toggle/plan/power.h)
};

/// All that a window shows. Immutable once published.
struct SessionState {
    std::uint64_t sequence = 0;

    std::string sheet_path;
    std::shared_ptr<const board::BoardSheet> sheet;  ///< the last one without errors
    std::vector<board::SheetError> sheet_errors;     ///< of the file as it is now

    std::vector<SessionRecording> recordings;
    std::vector<sound::InputDevice> devices;
    bool devices_known = false;

    bool listening = false, opening = false, demo = false;
    std::string device_wanted;
    std::string device_awaited;  ///< is opened as soon as it is there
    std::string live_state;      ///< the board's state while listening, as the user said
    std::optional<GuidedStep> step;
    std::shared_ptr<const Snapshot> live;  ///< null while nobody listens
    std::shared_ptr<const std::vector<ToneTrack>> live_tracks;

    /// Of the recordings and the live window. The live window counts where it hears a tone of the
    /// board, or where there is no recording yet: it goes on while hands move the board away.
    std::shared_ptr<const match::Findings> findings;
    bool room_given = false;
    bool live_counts = false;

    std::optional<OpenPlan> plan;
    /// The newest recording that was made with a plan, and what that proves: it is among the evidence of the findings,
    /// and the live window is not.
    std::shared_ptr<const match::TrialJoin> trial;
    std::string trying;         ///< a recording's name while it is compared with its plan
    std::string trial_trouble;  ///< why a recording could not be compared; a sentence

    std::vector<SessionRecording> before;  ///< an earlier session, to compare
    std::shared_ptr<const tones::UnitTones> before_tones;

    bool clicking = false;  ///< the click output is open

    std::shared_ptr<const std::vector<logbook::Unit>> units;  ///< of the logbook; null until asked for
    /// What this bench has said of the sheet's board; null where nothing is to be heeded.
    std::shared_ptr<const report::Confirmed> confirmed;
    std::string logbook_trouble;  ///< why they cannot be read
    bool storing = false;

    std::vector<SessionNote> notes;
    bool busy = false;
    std::string busy_with;  ///< "heron.flac": a clip is being read
};

}  // namespace tattletone::session
