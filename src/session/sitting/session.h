#pragma once

#include <condition_variable>
#include <deque>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <tuple>
#include <vector>

#include "session/sitting/session_state.h"
#include "session/sitting/store_options.h"
#include "sound/capture/click_output.h"

namespace tattletone::session {

/// A recording to take in.
struct WantedRecording {
    std::string path, state, spot;
    bool room = false, far = false;
};

struct SessionOptions {
    std::string keep_folder;        ///< where kept recordings go; made when the first one comes
    std::function<void()> changed;  ///< called on any thread after a new state is there
    std::string logbook_path;       ///< empty: there is none
    std::string user;               ///< who measures
    bool ignore_confirmed = false;  ///< diagnose without what this bench has said
};

/// Everything that one sitting at the bench holds: the sheet, the recordings, the microphone, the
/// diagnosis. Every function returns at once; work is done on two threads (reading and opening;
/// diagnosing) beside the LiveEar's, and `newest` tells how it went. Functions are for one thread.
class Session {
  public:
    explicit Session(SessionOptions options);
    ~Session();

    std::shared_ptr<const SessionState> newest() const;

    void open_sheet(const std::string& path);  ///< and again whenever the file changes
    void close_sheet();
    void add_recordings(std::vector<WantedRecording> wanted);
    void remove_recording(int id);
    void set_role(int id, const std::string& state, bool room, bool far = false);
    void set_spot(int id, const std::string& spot);
    /// An earlier session, to compare with: `add_before` adds to it, `set_aside` makes the present
    /// recordings into it. Roles and removal are as for the others.
    void add_before(std::vector<WantedRecording> wanted);
    void set_aside();
    void forget_before();

    /// Now, and again every few seconds for half a minute while nobody listens, so that what is
    /// plugged in shows up. (While a microphone is open the sound system tells only what was there
    /// before.)
    void list_devices();
    void listen(const std::string& device);  ///< empty: the system's default
    /// As soon as it is there; nothing else is opened in its place. Looked for every few seconds,
    /// after ten minutes every half minute.
    void listen_when_there(const std::string& device);
    /// Closes the microphone for a moment, so that what was plugged in since is seen.
    void look_again();
    /// A clip as if it were live, with its sheet; `room` is taken in as the room recording.
    void play_demo(const std::string& clip, const std::string& room, const std::string& sheet);
    void stop_listening();
    void pause(bool paused);
    void set_live_state(const std::string& state);
    void begin_step(const GuidedStep& step);
    void cancel_step();
    /// The toggle plan: one from a file, one drawn for the sheet's parts, none.
    void open_plan(const std::string& path);
    void draw_plan(const toggle::PlanWish& wish);
    void close_plan();
    /// A recording as long as the plan: `by_hand` with the time to get ready before it, and the prompts of
    /// toggle/plan/prompt.h by the recording's own clock (Snapshot::capture_seconds).
    void begin_toggled(bool by_hand);
    /// That a recording was made with the open plan, or with none.
    void set_toggled(int id, bool toggled);
    void keep_past(double seconds);
    void follow(std::optional<double> hz, double half_width_hz);
    void resolve(double bin_hz);  ///< the live spectrum, as finely as this where sound lasts

    /// Clicks through the headphones, at a rate that may be set as often as one likes.
    void click(bool on);
    void set_click_rate(double clicks_per_second);
    void click_once();

    void list_units();  ///< of the logbook
    /// All recordings as one measurement of a unit, diagnosed without the live sound. `storing` tells
    /// when it is over, a note how it went.
    void store(const StoreOptions& chosen);

    void tell(bool trouble, const std::string& text);
    void dismiss(int note);

  private:
    using Job = std::function<void()>;
    void enqueue(Job job);
    void load_loop();
    void diagnose_loop();
    struct Compared {
        std::vector<std::tuple<int, bool, std::shared_ptr<const SoundPicture>>> among;
        std::map<int, std::string> same_as;  ///< by id
    };
    static std::vector<std::string> count_once(std::vector<SessionRecording>& recordings, Compared& compared);
    /// The trial of the newest recording with a plan; what was found for the same recordings is not sought again.
    struct Tried {
        const toggle::Plan* plan = nullptr;
        const board::BoardSheet* sheet = nullptr;
        std::vector<std::tuple<int, bool, bool, std::shared_ptr<const SoundPicture>>> among;
        std::optional<Result<toggle::Trial>> trial;
    };
    std::optional<match::TrialJoin> try_newest(const SessionState& inputs, const tones::UnitTones& unit, Tried& tried);
    void publish(std::unique_lock<std::mutex>& lock);
    void change(const std::function<void(SessionState&)>& by, bool diagnose = false);
    static SessionRecording* find(SessionState& state, int id);  // among the earlier ones too

    void read_units();
    std::shared_ptr<const report::Confirmed> read_confirmed(const std::string& board);
    Result<std::string> store_now(const SessionState& state, const StoreOptions& chosen);
    void read_sheet_now(const std::string& path);
    void watch_sheet();
    void watch_devices();
    void read_devices();
    void add(std::vector<WantedRecording> wanted, bool before);
    void analyse_file(int id, const std::string& path);
    void start_ear(std::unique_ptr<sound::SoundSource> source);
    void on_snapshot();
    void take_kept(int number, const std::shared_ptr<const sound::Recording>& recording);
    void keep_recording(int id, const std::shared_ptr<const sound::Recording>& recording, const std::string& label);
    void keep_plan(int id, const std::string& clip_path);
    void release_ear();

    SessionOptions options_;
    mutable std::mutex mutex_;  // guards what follows
    std::condition_variable loader_wakes_, diagnoser_wakes_;
    SessionState next_;
    std::shared_ptr<const SessionState> newest_;
    std::deque<Job> jobs_;
    std::shared_ptr<LiveEar> ear_;
    ToneTracks tracks_;
    std::shared_ptr<const tones::Tones> tracked_;
    std::unique_ptr<sound::ClickOutput> clicks_;
    std::map<int, GuidedStep> awaited_;  // by the number that the ear gave
    int last_kept_ = 0;
    int listening_ = 0;  // counts up with each microphone that is opened
    int last_id_ = 0;
    int device_looks_left_ = 0;  // seconds
    bool diagnosis_due_ = false, before_due_ = false;
    bool stop_ = false;
    std::filesystem::file_time_type sheet_time_;
    std::thread loader_, diagnoser_;
};

}  // namespace tattletone::session
