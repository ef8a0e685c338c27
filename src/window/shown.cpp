#include "window/shown.h"

#include <algorithm>
#include <cmath>

namespace tattletone::window {
namespace {

constexpr double same_share = 0.003, same_hz = 3.0;
constexpr double highest_shown_hz = 24000.0;

const session::SessionRecording* shown_recording(const session::SessionState& session, const ViewState& view) {
    const session::SessionRecording* first = nullptr;
    for (const session::SessionRecording& recording : session.recordings) {
        if (!recording.picture) continue;
        if (recording.id == view.shown_recording) return &recording;
        if (first == nullptr || (first->room && !recording.room)) first = &recording;
    }
    return first;
}

bool live_is_shown(const session::SessionState& session, const ViewState& view) {
    if (!session.live) return false;
    if (view.shown_recording == 0) return true;
    return std::none_of(session.recordings.begin(), session.recordings.end(),
                        [&](const session::SessionRecording& r) { return r.id == view.shown_recording && r.picture; });
}

/// Of the earlier session: a take in the state of what is shown, else any.
const session::SessionRecording* ghost_of(const session::SessionState& session, const ViewState& view) {
    std::string state = session.live_state;
    bool room = session.step && session.step->room, far = session.step && session.step->far;
    if (!live_is_shown(session, view))
        if (const session::SessionRecording* recording = shown_recording(session, view)) {
            state = recording->state;
            room = recording->room;
            far = recording->far;
        }
    const session::SessionRecording* best = nullptr;
    int best_rank = -1;
    for (const session::SessionRecording& old : session.before) {
        const int rank = old.room == room && old.far == far ? (old.state == state ? 2 : 1) : 0;
        if (!old.picture || rank <= best_rank) continue;
        best = &old;
        best_rank = rank;
    }
    return best;
}

template <class Part, class Whole>
std::shared_ptr<const Part> part_of(const std::shared_ptr<Whole>& whole, const Part& part) {
    return std::shared_ptr<const Part>(whole, &part);
}

void choose_sound(Shown& shown, const session::SessionState& session, const ViewState& view) {
    shown.curve.reset();
    shown.floor.reset();
    shown.tracks.reset();
    shown.spectrogram.reset();
    shown.history_live = live_is_shown(session, view);
    if (shown.history_live) {
        const session::Snapshot& live = *session.live;
        shown.curve = live.spectrum;
        shown.floor = live.tones;
        shown.tracks = session.live_tracks;
        shown.spectrogram = live.spectrogram;
        shown.history_to = std::max(live.seconds_heard, 1.0);
        shown.history_from = std::max(0.0, shown.history_to - view.history_seconds);
        return;
    }
    const session::SessionRecording* recording = shown_recording(session, view);
    if (recording == nullptr) return;
    shown.curve = part_of(recording->picture, recording->picture->spectrum);
    shown.floor = part_of(recording->picture, recording->picture->found);
    shown.tracks = recording->tracks;
    shown.spectrogram = part_of(recording->picture, recording->picture->spectrogram);
    shown.history_from = 0.0;
    shown.history_to = std::max(0.1, recording->picture->found.seconds);
}

bool comes_before(const tones::Tone& a, const tones::Tone& b, TonesBy by) {
    const auto drift = [](const tones::Tone& tone) { return std::abs(tone.end_hz - tone.start_hz) / tone.hz; };
    switch (by) {
        case TonesBy::hz:
            return a.hz < b.hz;
        case TonesBy::level:
            return a.level_dbfs < b.level_dbfs;
        case TonesBy::ratio:
            return a.tone_to_noise_db < b.tone_to_noise_db;
        case TonesBy::present:
            return a.present < b.present;
        case TonesBy::drift:
            return drift(a) < drift(b);
        case TonesBy::origin:
            return static_cast<int>(a.origin) < static_cast<int>(b.origin);
    }
    return false;
}

void sort_tones(Shown& shown, const ViewState& view) {
    shown.tones.clear();
    if (!shown.session->findings) return;
    for (const tones::UnitTone& tone : shown.session->findings->unit.tones)
        if (!tone.tone.comb) shown.tones.push_back(&tone);
    std::stable_sort(shown.tones.begin(), shown.tones.end(), [&](const tones::UnitTone* a, const tones::UnitTone* b) {
        return view.tones_descend ? comes_before(b->tone, a->tone, view.tones_by)
                                  : comes_before(a->tone, b->tone, view.tones_by);
    });
}

double highest_tone_dbfs(const Shown& shown) {
    double highest = -200.0;
    for (const tones::UnitTone* tone : shown.tones) highest = std::max(highest, tone->tone.level_dbfs);
    return highest;
}

}  // namespace

const tones::UnitTone* tone_near(const match::Findings* findings, double hz) {
    if (findings == nullptr) return nullptr;
    const tones::UnitTone* best = nullptr;
    double best_apart = std::max(same_hz, same_share * hz);
    for (const tones::UnitTone& tone : findings->unit.tones) {
        const double apart = std::abs(tone.tone.hz - hz);
        if (apart > best_apart) continue;
        best = &tone;
        best_apart = apart;
    }
    return best;
}

AxisLimits limits_for(const session::SessionState& session) {
    AxisLimits limits;
    double rate = 0.0;
    for (const session::SessionRecording& recording : session.recordings)
        if (recording.picture) rate = std::max(rate, recording.picture->found.sample_rate_hz);
    if (session.live) rate = std::max(rate, session.live->sample_rate_hz);
    if (rate > 0.0) limits.high_hz = std::min(0.5 * rate, highest_shown_hz);
    return limits;
}

void update_shown(Shown& shown, const std::shared_ptr<const session::SessionState>& session, const ViewState& view,
                  const Layout& layout) {
    const bool first = !shown.session;
    const bool other_findings =
        first || shown.session->findings != session->findings || shown.session->sheet != session->sheet;
    const bool other_tones = other_findings || shown.session->before_tones != session->before_tones;
    shown.session = session;
    shown.layout = layout;
    shown.limits = limits_for(*session);
    shown.answer = answer_of(*session);
    if (other_findings) {
        shown.ladders.clear();
        if (session->sheet) shown.ladders = ladders_of(*session->sheet, session->findings.get());
    }
    sort_tones(shown, view);
    shown.selected = view.selected_hz ? tone_near(session->findings.get(), *view.selected_hz) : nullptr;
    if (other_tones) {
        shown.changes.clear();
        if (session->before_tones && session->findings)
            shown.changes = session::changes_between(*session->before_tones, session->findings->unit);
        std::stable_partition(shown.changes.begin(), shown.changes.end(),
                              [](const session::ToneChange& c) { return c.origin == tones::Origin::board; });
    }
    choose_sound(shown, *session, view);
    shown.before_curve.reset();
    if (const session::SessionRecording* ghost = ghost_of(*session, view))
        shown.before_curve = part_of(ghost->picture, ghost->picture->spectrum);
    const int pixels = static_cast<int>(layout.axis_width);
    shown.columns = shown.curve ? columns_of(*shown.curve, view.axis, pixels) : std::vector<Column>();
    shown.before_columns =
        shown.before_curve ? columns_of(*shown.before_curve, view.axis, pixels) : std::vector<Column>();
    shown.range = level_range(shown.columns, highest_tone_dbfs(shown));
}

}  // namespace tattletone::window
