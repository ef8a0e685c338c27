#include <algorithm>
#include <chrono>
#include <ctime>
#include <utility>

#include "base/files/paths.h"
#include "session/live/playing_source.h"
#include "session/sitting/session.h"
#include "sound/capture/microphone.h"
#include "sound/clip/clip_reader.h"
#include "sound/clip/clip_writer.h"
#include "tones/find_tones.h"

namespace tattletone::session {
namespace {

namespace fs = std::filesystem;

constexpr double publish_every_seconds = 0.1;
constexpr int device_watch_seconds = 30, device_look_every_seconds = 3;
constexpr int device_await_seconds = 600, late_device_look_every_seconds = 30;

tones::Tones tones_in(const sound::Recording& recording) {
    tones::FindOptions find;
    find.threads = 1;
    return tones::find_tones(recording, find);
}

/// "2031-04-05 06.07.08", local, for a file name.
std::string stamp() {
    const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    const std::tm* local = std::localtime(&now);  // the loader's thread alone calls it
    char text[32] = "";
    std::strftime(text, sizeof text, "%Y-%m-%d %H.%M.%S", local);
    return text;
}

std::string for_a_file_name(std::string text) {
    for (char& letter : text)
        if (static_cast<unsigned char>(letter) < 32 || std::string("/\\:*?\"<>|").find(letter) != std::string::npos)
            letter = '_';
    return text;
}

bool tells_the_same(const Snapshot& a, const Snapshot& b) {
    return a.seconds_heard == b.seconds_heard && a.state == b.state && a.message == b.message && a.tones == b.tones &&
           a.paused == b.paused && a.kept.size() == b.kept.size() && a.followed_hz == b.followed_hz &&
           a.lost_frames == b.lost_frames && a.dropouts == b.dropouts;
}

}  // namespace

void Session::read_devices() {
    auto found = tattletone::sound::devices();
    if (!found) {
        {
            const std::scoped_lock lock(mutex_);
            device_looks_left_ = 0;
        }
        tell(true, base::to_sentence(found.error()));
        found = std::vector<sound::InputDevice>();
    }
    const auto name = &sound::InputDevice::name;
    auto state = newest();
    if (!state->devices_known || !std::ranges::equal(state->devices, *found, {}, name, name)) {
        change([&](SessionState& next) {
            next.devices_known = true;
            next.devices = std::move(*found);
        });
        state = newest();
    }
    for (const sound::InputDevice& device : state->devices)
        if (!state->opening && device.name == state->device_awaited) return listen(device.name);
}

void Session::list_devices() {
    {
        const std::scoped_lock lock(mutex_);
        device_looks_left_ = device_watch_seconds;
    }
    enqueue([this] { read_devices(); });
}

/// Once a second while the loader has nothing else to do.
void Session::watch_devices() {
    {
        const std::scoped_lock lock(mutex_);
        const bool awaits = !next_.device_awaited.empty();
        if ((device_looks_left_ <= 0 && !awaits) || (ear_ && !next_.demo)) return;
        const int every = device_looks_left_ > 0 ? device_look_every_seconds : late_device_look_every_seconds;
        if (--device_looks_left_ % every != 0) return;
    }
    read_devices();
}

void Session::release_ear() {
    std::shared_ptr<LiveEar> old;
    {
        const std::scoped_lock lock(mutex_);
        old = std::move(ear_);
        ear_.reset();
        awaited_.clear();
        last_kept_ = 0;
        tracked_.reset();
        tracks_.clear();
    }
    old.reset();  // joins its thread, which may wait for the mutex
}

void Session::start_ear(std::unique_ptr<sound::SoundSource> source) {
    release_ear();
    LiveOptions options;
    options.pictures = true;
    options.publish_every_seconds = publish_every_seconds;
    options.published = [this] { on_snapshot(); };
    auto ear = LiveEar::start(std::move(source), tones_in, options);
    change([&](SessionState& state) {
        state.opening = false;
        state.listening = static_cast<bool>(ear);
        state.step.reset();
        state.live.reset();
        state.live_tracks.reset();
        ++listening_;
        if (ear) ear_ = std::move(*ear);
    });
}

void Session::listen(const std::string& device) {
    change([&](SessionState& state) {
        state.opening = true;
        state.demo = false;
        state.device_wanted = device;
        state.device_awaited.clear();
    });
    enqueue([this, device] {
        release_ear();  // some systems open a microphone only once
        auto microphone = sound::Microphone::open(device);
        if (microphone) {
            start_ear(std::move(*microphone));
            return;
        }
        change([&](SessionState& state) {
            state.opening = state.listening = false;
            state.live.reset();
        });
        tell(true, base::to_sentence(microphone.error()));
    });
}

void Session::listen_when_there(const std::string& device) {
    change([&](SessionState& state) {
        state.device_awaited = device;
        device_looks_left_ = device_await_seconds;
    });
    enqueue([this] { read_devices(); });
}

void Session::look_again() {
    const auto now = newest();
    if (!now->live || now->demo) return list_devices();
    change([](SessionState& state) { state.opening = true; });
    enqueue([this] {
        release_ear();
        change([](SessionState& state) {
            state.listening = false;
            state.step.reset();
            state.live.reset();
            state.live_tracks.reset();
        });
        read_devices();
    });
    listen(now->live->device);
}

void Session::play_demo(const std::string& clip, const std::string& room, const std::string& sheet) {
    open_sheet(sheet);
    change([&](SessionState& state) {
        state.recordings.clear();
        state.opening = state.demo = true;
        state.device_awaited.clear();
        state.live_state.clear();
    });
    if (!room.empty()) add_recordings({{room, "", "", true}});
    enqueue([this, clip] {
        auto recording = sound::read_clip(clip);
        if (recording) {
            start_ear(std::make_unique<PlayingSource>("the demo recording", std::move(*recording)));
            return;
        }
        change([](SessionState& state) { state.opening = state.demo = false; });
        tell(true, base::to_sentence(recording.error()));
    });
}

void Session::stop_listening() {
    enqueue([this] {
        release_ear();
        change(
            [](SessionState& state) {
                state.listening = state.opening = state.demo = false;
                state.device_awaited.clear();
                state.step.reset();
                state.live.reset();
                state.live_tracks.reset();
            },
            true);
    });
}

void Session::pause(bool paused) {
    const std::scoped_lock lock(mutex_);
    if (ear_) ear_->pause(paused);
}

void Session::follow(std::optional<double> hz, double half_width_hz) {
    const std::scoped_lock lock(mutex_);
    if (ear_) ear_->follow(hz, half_width_hz);
}

void Session::resolve(double bin_hz) {
    const std::scoped_lock lock(mutex_);
    if (ear_) ear_->resolve(bin_hz);
}

void Session::click(bool on) {
    enqueue([this, on] {
        std::unique_ptr<sound::ClickOutput> old;
        change([&](SessionState& state) {
            old = std::move(clicks_);
            state.clicking = false;
        });
        old.reset();
        if (!on) return;
        auto opened = sound::ClickOutput::open();
        if (!opened) {
            tell(true, base::to_sentence(opened.error()));
            return;
        }
        change([&](SessionState& state) {
            clicks_ = std::move(*opened);
            state.clicking = true;
        });
    });
}

void Session::set_click_rate(double clicks_per_second) {
    const std::scoped_lock lock(mutex_);
    if (clicks_) clicks_->set_rate(clicks_per_second);
}

void Session::click_once() {
    const std::scoped_lock lock(mutex_);
    if (clicks_) clicks_->click();
}

void Session::set_live_state(const std::string& state_name) {
    change([&](SessionState& state) { state.live_state = state_name; }, true);
}

void Session::begin_step(const GuidedStep& step) {
    change([&](SessionState& state) {
        if (!ear_) return;
        awaited_[ear_->capture(step.seconds, step.plan != nullptr)] = step;
        state.step = step;
        if (!step.room && !step.far) state.live_state = step.state;
    });
}

void Session::cancel_step() {
    change([&](SessionState& state) {
        if (ear_) ear_->end_capture();
        state.step.reset();
    });
}

void Session::keep_past(double seconds) {
    const std::scoped_lock lock(mutex_);
    if (ear_) awaited_[ear_->keep_past(seconds)] = {false, false, next_.live_state, seconds};
}

/// On the listening thread, after each of its snapshots.
void Session::on_snapshot() {
    std::unique_lock lock(mutex_);
    if (!ear_) return;
    const auto snapshot = ear_->newest();
    if (next_.live && tells_the_same(*next_.live, *snapshot)) return;
    for (const auto& [number, recording] : snapshot->kept) {
        if (number <= last_kept_) continue;
        last_kept_ = number;
        take_kept(number, recording);
    }
    if (snapshot->tones != tracked_) {
        tracked_ = snapshot->tones;
        if (tracked_) {
            tracks_.add(*tracked_, snapshot->analysed_until_seconds);
            next_.live_tracks = std::make_shared<const std::vector<ToneTrack>>(tracks_.tracks());
            diagnosis_due_ = true;
            diagnoser_wakes_.notify_all();
        }
    }
    next_.live = snapshot;
    publish(lock);
}

/// With the mutex held.
void Session::take_kept(int number, const std::shared_ptr<const sound::Recording>& recording) {
    const auto awaited = awaited_.find(number);
    if (awaited == awaited_.end()) return;
    const GuidedStep step = awaited->second;
    awaited_.erase(awaited);
    if (next_.step && next_.step->room == step.room && next_.step->far == step.far && next_.step->state == step.state)
        next_.step.reset();
    SessionRecording entry;
    entry.id = ++last_id_;
    entry.room = step.room;
    entry.far = step.far;
    entry.state = step.state;
    entry.plan = step.plan;
    entry.listening = listening_;
    entry.from_frame = recording->first_frame;
    entry.to_frame = recording->first_frame + recording->samples.size();
    const std::string label = step.room            ? "room"
                              : step.far           ? "far"
                              : step.plan          ? "toggled"
                              : step.state.empty() ? "board"
                                                   : step.state;
    entry.name = label;
    if (step.room) std::erase_if(next_.recordings, [](const SessionRecording& r) { return r.room; });
    next_.recordings.push_back(entry);
    jobs_.push_back([this, id = entry.id, recording, label] { keep_recording(id, recording, label); });
    loader_wakes_.notify_all();
}

void Session::keep_recording(int id, const std::shared_ptr<const sound::Recording>& recording,
                             const std::string& label) {
    const auto picture = analyse_recording(*recording);
    const auto tracks = std::make_shared<const std::vector<ToneTrack>>(tracks_of(picture->found));
    const fs::path folder = base::path_of(options_.keep_folder);
    std::error_code problem;
    fs::create_directories(folder, problem);
    std::string name = stamp() + ' ' + for_a_file_name(label) + ' ' + std::to_string(id) + ".flac";
    std::string path = base::utf8_of(folder / base::path_of(name));
    // Another window may keep one in the same second.
    for (int more = 2; fs::exists(base::path_of(path), problem); ++more) {
        name =
            stamp() + ' ' + for_a_file_name(label) + ' ' + std::to_string(id) + " (" + std::to_string(more) + ").flac";
        path = base::utf8_of(folder / base::path_of(name));
    }
    const auto error =
        sound::write_clip(base::OutputFile{base::OutputKind::recording, path}, *recording, sound::ClipFormat::flac_24);
    if (!error) keep_plan(id, path);
    change(
        [&](SessionState& state) {
            if (SessionRecording* entry = find(state, id)) {
                entry->share = 1.0;
                entry->picture = picture;
                entry->tracks = tracks;
                if (!error) {
                    entry->path = path;
                    entry->name = name;
                }
            }
        },
        true);
    if (error) tell(true, base::to_sentence(*error));
}

}  // namespace tattletone::session
