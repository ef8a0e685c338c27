#include "session/sitting/session.h"

#include <algorithm>
#include <utility>

#include "base/files/paths.h"
#include "base/text/printable.h"
#include "session/sitting/once.h"
#include "session/sitting/toggled.h"

namespace tattletone::session {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t most_notes = 3;

std::string file_name(const std::string& path) {
    return base::utf8_of(base::path_of(path).filename());
}

bool hears_the_board(const tones::Tones& found) {
    return std::any_of(found.tones.begin(), found.tones.end(),
                       [](const tones::Tone& tone) { return tone.origin == tones::Origin::board; });
}

std::shared_ptr<const tones::UnitTones> tones_before(SessionState& session) {
    mark_same_sound(session.before);
    Roles before = roles_of(session.before);
    if (before.takes.empty()) return nullptr;
    return std::make_shared<const tones::UnitTones>(
        tones::unite(std::move(before.takes), before.room, std::move(before.far)));
}

}  // namespace

Roles roles_of(const std::vector<SessionRecording>& recordings) {
    Roles roles;
    for (const SessionRecording& recording : recordings) {
        if (!recording.picture || !recording.same_as.empty()) continue;
        if (recording.room)
            roles.room = &recording.picture->found;
        else
            (recording.far ? roles.far : roles.takes)
                .push_back({recording.name, recording.state, recording.spot, recording.picture->found});
    }
    return roles;
}

Session::Session(SessionOptions options) : options_(std::move(options)) {
    newest_ = std::make_shared<const SessionState>(next_);
    loader_ = std::thread(&Session::load_loop, this);
    diagnoser_ = std::thread(&Session::diagnose_loop, this);
}

Session::~Session() {
    {
        const std::scoped_lock lock(mutex_);
        stop_ = true;
        jobs_.clear();
    }
    loader_wakes_.notify_all();
    diagnoser_wakes_.notify_all();
    loader_.join();
    diagnoser_.join();
    release_ear();
}

std::shared_ptr<const SessionState> Session::newest() const {
    const std::scoped_lock lock(mutex_);
    return newest_;
}

void Session::publish(std::unique_lock<std::mutex>& lock) {
    ++next_.sequence;
    newest_ = std::make_shared<const SessionState>(next_);
    lock.unlock();
    if (options_.changed) options_.changed();
}

void Session::change(const std::function<void(SessionState&)>& by, bool diagnose) {
    std::unique_lock lock(mutex_);
    by(next_);
    if (diagnose) {
        diagnosis_due_ = true;
        diagnoser_wakes_.notify_all();
    }
    publish(lock);
}

void Session::enqueue(Job job) {
    {
        const std::scoped_lock lock(mutex_);
        if (stop_) return;
        jobs_.push_back(std::move(job));
    }
    loader_wakes_.notify_all();
}

void Session::load_loop() {
    std::unique_lock lock(mutex_);
    while (!stop_) {
        if (jobs_.empty()) {
            loader_wakes_.wait_for(lock, 1s, [&] { return stop_ || !jobs_.empty(); });
            if (stop_ || !jobs_.empty()) continue;
            lock.unlock();
            watch_sheet();
            watch_devices();
            lock.lock();
            continue;
        }
        const Job job = std::move(jobs_.front());
        jobs_.pop_front();
        lock.unlock();
        job();
        lock.lock();
    }
}

// Sounds are compared again only where there are others; the sentences are of those that are new.
std::vector<std::string> Session::count_once(std::vector<SessionRecording>& recordings, Compared& compared) {
    Compared now;
    for (const SessionRecording& recording : recordings)
        now.among.emplace_back(recording.id, recording.room, recording.picture);
    if (now.among == compared.among) {
        for (SessionRecording& recording : recordings) recording.same_as = compared.same_as[recording.id];
        return {};
    }
    mark_same_sound(recordings);
    std::vector<std::string> sentences;
    for (const SessionRecording& recording : recordings) {
        now.same_as[recording.id] = recording.same_as;
        if (!recording.same_as.empty() && compared.same_as[recording.id].empty())
            sentences.push_back(recording.name + " holds the same sound as " + recording.same_as + "; it counts once");
    }
    compared = std::move(now);
    return sentences;
}

void Session::diagnose_loop() {
    Compared compared;
    Tried tried;
    std::unique_lock lock(mutex_);
    while (true) {
        diagnoser_wakes_.wait(lock, [&] { return stop_ || diagnosis_due_; });
        if (stop_) return;
        diagnosis_due_ = false;
        const bool before_due = std::exchange(before_due_, false);
        SessionState inputs = next_;
        const int listening = listening_;
        lock.unlock();
        const std::vector<std::string> sentences = count_once(inputs.recordings, compared);

        Roles roles = roles_of(inputs.recordings);
        std::vector<tones::Take>& takes = roles.takes;
        std::shared_ptr<const tones::UnitTones> before = before_due ? tones_before(inputs) : nullptr;
        bool live_counts = false;
        const bool toggled = newest_toggled(inputs.recordings) != nullptr;
        if (!toggled && inputs.live && inputs.live->tones &&
            !(inputs.step && (inputs.step->room || inputs.step->far))) {
            const tones::Tones& found = *inputs.live->tones;
            live_counts = (takes.empty() || hears_the_board(found)) &&
                          !is_kept(inputs.recordings, listening, *inputs.live->window);
            if (live_counts) takes.push_back({inputs.live->device, inputs.live_state, "", found});
        }
        std::shared_ptr<const match::Findings> findings;
        std::shared_ptr<match::TrialJoin> trial;
        std::string trial_trouble;
        if (!takes.empty()) {
            tones::UnitTones unit = tones::unite(std::move(takes), roles.room, std::move(roles.far));
            if (auto joined = try_newest(inputs, unit, tried))
                trial = std::make_shared<match::TrialJoin>(std::move(*joined));
            else if (toggled && tried.trial && !*tried.trial)
                trial_trouble = base::to_sentence(tried.trial->error());
            findings = std::make_shared<const match::Findings>(
                diagnose_here(inputs.sheet.get(), std::move(unit), inputs.confirmed.get(), nullptr, trial.get()));
        }

        lock.lock();
        next_.trial = std::move(trial);
        next_.trial_trouble = std::move(trial_trouble);
        next_.trying.clear();
        next_.findings = std::move(findings);
        for (SessionRecording& recording : next_.recordings)
            if (const auto known = compared.same_as.find(recording.id); known != compared.same_as.end())
                recording.same_as = known->second;
        if (before_due) next_.before_tones = next_.before.empty() ? nullptr : std::move(before);
        next_.room_given = roles.room != nullptr;
        next_.live_counts = live_counts;
        publish(lock);
        for (const std::string& sentence : sentences) tell(false, sentence);
        lock.lock();
    }
}

// The sheet.

void Session::read_sheet_now(const std::string& path) {
    std::error_code problem;
    const auto time = std::filesystem::last_write_time(base::path_of(path), problem);
    board::SheetReading reading = board::read_sheet(path);
    const auto confirmed = reading.sheet ? read_confirmed(reading.sheet->name) : nullptr;
    change(
        [&](SessionState& state) {
            if (state.sheet_path != path) return;
            sheet_time_ = problem ? std::filesystem::file_time_type() : time;
            state.sheet_errors = std::move(reading.errors);
            if (!reading.sheet) return;
            state.sheet = std::make_shared<const board::BoardSheet>(std::move(*reading.sheet));
            state.confirmed = confirmed;
        },
        true);
}

void Session::open_sheet(const std::string& path) {
    change([&](SessionState& state) {
        state.sheet_path = path;
        state.sheet.reset();
        state.sheet_errors.clear();
    });
    enqueue([this, path] { read_sheet_now(path); });
}

void Session::close_sheet() {
    change(
        [](SessionState& state) {
            state.sheet_path.clear();
            state.sheet.reset();
            state.sheet_errors.clear();
        },
        true);
}

void Session::watch_sheet() {
    std::string path;
    std::filesystem::file_time_type known;
    {
        const std::scoped_lock lock(mutex_);
        path = next_.sheet_path;
        known = sheet_time_;
    }
    if (path.empty()) return;
    std::error_code problem;
    const auto time = std::filesystem::last_write_time(base::path_of(path), problem);
    // An editor that replaces the file leaves a moment without one.
    if (!problem && time != known) read_sheet_now(path);
}

// Recordings.

SessionRecording* Session::find(SessionState& state, int id) {
    for (std::vector<SessionRecording>* list : {&state.recordings, &state.before})
        for (SessionRecording& recording : *list)
            if (recording.id == id) return &recording;
    return nullptr;
}

void Session::add(std::vector<WantedRecording> wanted, bool before) {
    for (WantedRecording& one : wanted) {
        SessionRecording recording;
        recording.name = file_name(one.path);
        recording.path = one.path;
        recording.state = std::move(one.state);
        recording.spot = std::move(one.spot);
        recording.room = one.room;
        recording.far = one.far;
        int id = 0;
        change([&](SessionState& state) {
            auto& list = before ? state.before : state.recordings;
            recording.id = id = ++last_id_;
            if (recording.room) std::erase_if(list, [](const SessionRecording& r) { return r.room; });
            list.push_back(std::move(recording));
        });
        enqueue([this, id, path = one.path] { analyse_file(id, path); });
    }
}

void Session::add_recordings(std::vector<WantedRecording> wanted) {
    add(std::move(wanted), false);
}

void Session::add_before(std::vector<WantedRecording> wanted) {
    add(std::move(wanted), true);
}

void Session::set_aside() {
    change(
        [&](SessionState& state) {
            state.before = std::exchange(state.recordings, {});
            before_due_ = true;
        },
        true);
}

void Session::forget_before() {
    change([](SessionState& state) {
        state.before.clear();
        state.before_tones.reset();
    });
}

void Session::analyse_file(int id, const std::string& path) {
    change([&](SessionState& state) {
        state.busy = true;
        state.busy_with = file_name(path);
    });
    int told_percent = -1;
    auto picture = analyse_clip(path, [&](double share) {
        std::unique_lock lock(mutex_);
        if (stop_) return false;
        const int percent = static_cast<int>(100.0 * share);
        SessionRecording* recording = find(next_, id);
        if (recording == nullptr) return false;
        if (percent == told_percent) return true;
        told_percent = percent;
        recording->share = share;
        publish(lock);
        return true;
    });
    change(
        [&](SessionState& state) {
            state.busy = false;
            SessionRecording* recording = find(state, id);
            if (recording == nullptr) return;
            recording->share = 1.0;
            if (picture) {
                recording->picture = *picture;
                recording->tracks = std::make_shared<const std::vector<ToneTrack>>(tracks_of((*picture)->found));
            } else {
                recording->trouble = base::to_sentence(picture.error());
            }
            before_due_ = true;
        },
        true);
}

void Session::remove_recording(int id) {
    change(
        [&](SessionState& state) {
            for (auto* list : {&state.recordings, &state.before})
                std::erase_if(*list, [&](const SessionRecording& r) { return r.id == id; });
            before_due_ = true;
        },
        true);
}

void Session::set_role(int id, const std::string& state_name, bool room, bool far) {
    change(
        [&](SessionState& state) {
            for (auto* list : {&state.recordings, &state.before}) {
                const bool here = std::any_of(list->begin(), list->end(), [&](const auto& r) { return r.id == id; });
                if (here && room)
                    for (SessionRecording& other : *list) other.room = false;
            }
            if (SessionRecording* recording = find(state, id)) {
                recording->state = room ? "" : state_name;
                recording->room = room;
                recording->far = far;
            }
            before_due_ = true;
        },
        true);
}

void Session::set_spot(int id, const std::string& spot) {
    change(
        [&](SessionState& state) {
            if (SessionRecording* recording = find(state, id)) recording->spot = spot;
        },
        true);
}

void Session::tell(bool trouble, const std::string& text) {
    change([&](SessionState& state) {
        state.notes.push_back({++last_id_, trouble, base::printable(text)});
        if (state.notes.size() > most_notes) state.notes.erase(state.notes.begin());
    });
}

void Session::dismiss(int note) {
    change(
        [&](SessionState& state) { std::erase_if(state.notes, [&](const SessionNote& n) { return n.id == note; }); });
}

}  // namespace tattletone::session
