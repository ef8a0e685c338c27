#include "window/platform/run_window.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <utility>

#include "session/sitting/session.h"
#include "toggle/plan/prompt.h"
#include "window/apply.h"
#include "window/drawing/gl_picture.h"
#include "window/panels/panels.h"
#include "window/platform/saving.h"
#include "window/platform/screen.h"
#include "window/platform/settings.h"
#include "window/platform/system_places.h"

namespace tattletone::window {
namespace {

using Clock = std::chrono::steady_clock;

constexpr double frame_seconds = 1.0 / 30.0;
constexpr double idle_seconds = 5.0;
constexpr int frames_after_input = 3;  // Dear ImGui settles hover and layout over two

std::string settings_path() {
    const std::string folder = settings_folder();
    return folder.empty() ? "" : folder + "/window.toml";
}

ViewState view_from(const Settings& settings, const WindowOptions& chosen) {
    ViewState view;
    view.axis = {100.0, 22000.0, settings.by_octaves};
    view.look = settings.look;
    view.scale = settings.scale;
    view.tab = settings.tab;
    view.spectrogram = settings.spectrogram;
    view.keep_seconds = settings.keep_seconds;
    view.last_device = settings.device;
    view.caution_seen = settings.caution_seen;
    view.over = settings.caution_seen ? Over::nothing : Over::caution;
    view.save_folder = !chosen.save_folder.empty()     ? chosen.save_folder
                       : !settings.save_folder.empty() ? settings.save_folder
                                                       : default_save_folder();
    return view;
}

void remember(const ViewState& view, const session::SessionState& session, const Screen& screen, bool demo) {
    const std::string path = settings_path();
    if (path.empty()) return;
    Settings settings = settings_from(content_of(path));
    settings.look = view.look;
    settings.scale = view.scale;
    settings.tab = view.tab;
    settings.by_octaves = view.axis.logarithmic;
    settings.spectrogram = view.spectrogram;
    settings.caution_seen = view.caution_seen;
    settings.keep_seconds = view.keep_seconds;
    settings.save_folder = view.save_folder;
    settings.width = static_cast<int>(screen.width());
    settings.height = static_cast<int>(screen.height());
    if (!demo) settings.sheet = session.sheet_path;
    if (!demo && session.live) settings.device = session.live->device;
    settings.listening = (session.listening && !demo) || !session.device_awaited.empty();
    (void)save_text(path, base::OutputKind::own_file,
                    settings_text(settings));  // a chosen that cannot be kept is no trouble
}

void begin(session::Session& session, const WindowOptions& chosen, const Settings& settings, ViewState& view,
           const Shown& shown, Pending& pending) {
    if (chosen.demo) {
        apply({ask::StartDemo{}}, session, view, shown, pending);
        return;
    }
    const std::string sheet = chosen.sheet.empty() && chosen.files.empty() ? settings.sheet : chosen.sheet;
    if (!sheet.empty()) session.open_sheet(sheet);
    if (!chosen.room.empty()) session.add_recordings({{chosen.room, "", "", true}});
    std::vector<session::WantedRecording> recordings;
    for (const std::string& file : chosen.files) recordings.push_back({file, "", "", false});
    for (const std::string& file : chosen.far) recordings.push_back({file, "", "", false, true});
    if (!recordings.empty()) session.add_recordings(std::move(recordings));
    if (chosen.device)
        session.listen(*chosen.device);
    else if (settings.listening && !settings.device.empty() && chosen.files.empty())
        session.listen_when_there(settings.device);
    session.list_units();  // so that the list is there when it is opened
}

void finish(Pending& pending, session::Session& session, Screen& screen) {
    if (!pending.picture_path.empty()) {
        int width = 0, height = 0;
        const std::vector<std::uint8_t> pixels = screen.pixels(width, height);
        const auto error = save_png(pending.picture_path, pixels, width, height);
        session.tell(error.has_value(), error ? base::to_sentence(*error) : "Picture saved in " + pending.picture_path);
    }
    if (pending.quit) screen.close();
    if (pending.copied) screen.copy(*pending.copied);
    screen.drafts().focus_path = screen.drafts().focus_path || pending.focus_path;
    screen.drafts().focus_mark = screen.drafts().focus_mark || pending.focus_mark;
    screen.drafts().store.focus_serial = screen.drafts().store.focus_serial || pending.focus_serial;
    if (pending.focus_mark) screen.drafts().mark.clear();
    pending = Pending();
}

/// For the bench: how much was drawn.
void tell_frames(const Screen& screen) {
    static const char* const path = std::getenv("TATTLETONE_FRAMES");
    if (path == nullptr) return;
    (void)save_text(path, base::OutputKind::own_file, std::to_string(screen.frames()) + "\n");
}

class Loop {
  public:
    Loop(Screen& screen, session::Session& session, ViewState& view, SpectrogramTexture& texture)
        : screen_(screen), session_(session), view_(view), texture_(texture) {}

    Shown& shown() { return shown_; }
    Pending& pending() { return pending_; }

    void run() {
        while (!screen_.closing()) {
            screen_.wait(until_next_frame());
            take_in();
            const double since = std::chrono::duration<double>(Clock::now() - last_frame_).count();
            if (frames_due_ > 0 && since >= frame_seconds - 0.001 && screen_.visible()) draw();
        }
    }

    void prepare(const std::shared_ptr<const session::SessionState>& news) {
        update_shown(shown_, news, view_,
                     layout_of(screen_.width(), screen_.height(), screen_.unit(), news->findings != nullptr));
    }

  private:
    double until_next_frame() const {
        if (frames_due_ == 0) return idle_seconds;
        const double since = std::chrono::duration<double>(Clock::now() - last_frame_).count();
        return std::max(0.0, frame_seconds - since);
    }

    void take_in() {
        if (screen_.had_input()) frames_due_ = frames_after_input;
        const auto news = session_.newest();
        if (!shown_.session || news->sequence != shown_.session->sequence) {
            take_news(*news, view_);
            const bool clicks = view_.follow && view_.follow->db() && news->live && !news->live->paused;
            session_.set_click_rate(clicks ? session::clicks_per_second(*view_.follow->db()) : 0.0);
            tick(*news);
            prepare(news);
            frames_due_ = std::max(frames_due_, 1);
        }
        for (const KeyPress& key : screen_.keys())
            apply(request_for(key, shown_, view_), session_, view_, shown_, pending_);
        const std::vector<std::string> dropped = screen_.dropped();
        if (!dropped.empty()) apply({ask::Drop{dropped}}, session_, view_, shown_, pending_);
    }

    // At each switching that a person is told of, and with nothing else: the rate of the clicks is 0 then.
    void tick(const session::SessionState& news) {
        const std::size_t before = std::exchange(switched_, 0);
        if (!news.step || !news.step->by_hand || !news.live) return;
        switched_ = toggle::prompt_at(*news.step->plan, news.live->capture_seconds).switched;
        if (view_.tick && switched_ > before) session_.click_once();
    }

    void draw() {
        --frames_due_;
        last_frame_ = Clock::now();
        const Palette& colours = palette(view_.look);
        screen_.begin_frame(colours, view_.scale);
        prepare(shown_.session);
        session_.resolve(wanted_bin_hz(view_.axis));
        shown_.spectrogram_texture = texture_.update(shown_, view_);
        const Requests asked = draw_window(shown_, view_, screen_.brush(colours));
        screen_.end_frame(colours);
        finish(pending_, session_, screen_);
        screen_.show();
        tell_frames(screen_);
        apply(asked, session_, view_, shown_, pending_);
        if (!asked.empty() || !pending_.picture_path.empty()) frames_due_ = frames_after_input;
    }

    Screen& screen_;
    session::Session& session_;
    ViewState& view_;
    SpectrogramTexture& texture_;
    Shown shown_;
    Pending pending_;
    std::size_t switched_ = 0;  // of the plan that is carried out
    int frames_due_ = frames_after_input;
    Clock::time_point last_frame_;
};

}  // namespace

std::optional<Error> run_window(const WindowOptions& chosen) {
    const Settings settings = settings_from(content_of(settings_path()));
    auto opened = Screen::open(settings.width, settings.height);
    if (!opened) return opened.error();
    Screen& screen = **opened;
    ViewState view = view_from(settings, chosen);
    session::Session session(
        {view.save_folder, [] { Screen::wake(); }, chosen.logbook, chosen.user, chosen.ignore_confirmed});
    SpectrogramTexture texture;
    Loop loop(screen, session, view, texture);
    loop.prepare(session.newest());
    begin(session, chosen, settings, view, loop.shown(), loop.pending());
    loop.run();
    const auto last = session.newest();
    remember(view, *last, screen, last->demo);
    return std::nullopt;
}

}  // namespace tattletone::window
