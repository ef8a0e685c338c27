#include "command/analysed_clips.h"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <span>

#include "command/clip_tones.h"
#include "command/terminal/console.h"
#include "command/terminal/progress.h"
#include "tones/join/sound_mark.h"

namespace tattletone::command {
namespace {

/// Tells decoded sound apart (FNV-1a over the samples), whatever the file is called.
struct SoundMark {
    std::uint64_t hash = 14695981039346656037ull;
    std::size_t count = 0;
    bool silent = true;

    void add(std::span<const float> samples) {
        for (const float sample : samples) {
            hash = (hash ^ std::bit_cast<std::uint32_t>(sample)) * 1099511628211ull;
            silent = silent && sample == 0.0f;
        }
        count += samples.size();
    }
    bool same_sound(const SoundMark& other) const { return !silent && count == other.count && hash == other.hash; }
};

// `mark` is nullptr where there is no other clip to be told from.
bool analyse(sound::ClipReader reader, tones::Tones& found, SoundMark* mark, Progress& progress) {
    const sound::ClipInfo info = reader.info();
    auto tones = tones_of_clip(
        reader, [&](double seconds) { progress.show(info.origin, seconds, info.seconds); },
        [&](std::span<const float> samples) {
            if (mark) mark->add(samples);
        });
    if (!tones) {
        tell(tones.error());
        return false;
    }
    found = std::move(*tones);
    return true;
}

constexpr const char* record_the_room = "For --room, record the same place with the board unpowered";
constexpr const char* record_afar = "For --far, record anew with the microphone 60 cm from the board";

bool all_differ(const ListedClips& listed, const std::vector<std::string>& paths, const std::vector<SoundMark>& marks) {
    for (std::size_t later = 1; later < marks.size(); ++later)
        for (std::size_t first = 0; first < later; ++first) {
            if (!marks[later].same_sound(marks[first])) continue;
            const bool is_take = later < listed.takes.size();
            const bool is_far = !is_take && later < listed.takes.size() + listed.far.size();
            tell({paths[later], "this is the same sound as " + paths[first],
                  is_far     ? record_afar
                  : !is_take ? record_the_room
                             : "Leave one of the two out: one sound counts as evidence once"});
            return false;
        }
    return true;
}

void tell_notices(const std::string& room, const tones::Tones& found) {
    for (const std::string& notice : found.notices) tell_note("tattletone: " + room + ": " + notice);
}

/// What was said of one is true of the other; false where they contradict each other.
bool joins_words(tones::Take& kept, const tones::Take& copy) {
    const auto fits = [](const auto& a, const auto& b) { return a.empty() || b.empty() || a == b; };
    const bool changes_fit =
        kept.changes.empty() || copy.changes.empty() || tones::same_settings(kept.changes, copy.changes);
    if (!fits(kept.state, copy.state) || !fits(kept.spot, copy.spot) || !changes_fit) return false;
    if (kept.state.empty()) kept.state = copy.state;
    if (kept.spot.empty()) kept.spot = copy.spot;
    if (kept.changes.empty()) kept.changes = copy.changes;
    return true;
}

bool tell_same(const std::string& path, const std::string& as, const char* todo) {
    tell({path, "this is the same sound as " + as, todo});
    return false;
}

/// Of takes that are one sound the longest stays, with what was said of any. False where an error was told.
bool count_once(ListedClips& listed, const tones::Tones* room) {
    std::vector<tones::Take>& takes = listed.takes;
    std::vector<char> left_out(takes.size(), 0);
    for (std::size_t later = 0; later < takes.size(); ++later) {
        if (room && tones::same_sound(takes[later].found, *room))
            return tell_same(listed.room, takes[later].path, record_the_room);
        for (const tones::Take& far : listed.far)
            if (tones::same_sound(takes[later].found, far.found))
                return tell_same(far.path, takes[later].path, record_afar);
        for (std::size_t first = 0; first < later; ++first) {
            if (left_out[first] || !tones::same_sound(takes[first].found, takes[later].found)) continue;
            const bool longer = takes[later].found.seconds > 1.02 * takes[first].found.seconds;
            tones::Take &kept = takes[longer ? later : first], &copy = takes[longer ? first : later];
            if (!joins_words(kept, copy)) {
                tell({copy.path, "this is the same sound as " + kept.path + ", of which something else is said",
                      "One sound is of one state, one spot and one setting: keep one of the two"});
                return false;
            }
            kept.found.notices.push_back(copy.path + " is the same sound; it counts once");
            left_out[longer ? first : later] = 1;
            if (!longer) break;
        }
    }
    std::vector<tones::Take> stay;
    for (std::size_t i = 0; i < takes.size(); ++i)
        if (!left_out[i]) stay.push_back(std::move(takes[i]));
    takes = std::move(stay);
    return true;
}

}  // namespace

std::optional<AnalysedClips> analyse_clips(ListedClips listed) {
    std::vector<sound::ClipReader> readers;
    std::vector<std::string> paths;
    AnalysedClips clips;
    std::vector<tones::Tones*> found;
    for (std::vector<tones::Take>* list : {&listed.takes, &listed.far})
        for (tones::Take& take : *list) {
            paths.push_back(take.path);
            found.push_back(&take.found);
        }
    if (!listed.room.empty()) {
        paths.push_back(listed.room);
        found.push_back(&clips.room.emplace());
    }
    for (const std::string& path : paths) {
        auto reader = sound::ClipReader::open(path);
        if (reader)
            readers.push_back(std::move(*reader));
        else
            tell(reader.error());
    }
    if (readers.size() < paths.size()) return std::nullopt;
    std::vector<SoundMark> marks(readers.size());
    {
        Progress progress;
        for (std::size_t i = 0; i < readers.size(); ++i) {
            SoundMark* const mark = readers.size() > 1 ? &marks[i] : nullptr;
            if (!analyse(std::move(readers[i]), *found[i], mark, progress)) return std::nullopt;
        }
    }
    if (!all_differ(listed, paths, marks)) return std::nullopt;
    const std::size_t given = listed.takes.size();
    if (!count_once(listed, clips.room ? &*clips.room : nullptr)) return std::nullopt;
    for (std::size_t i = given; i < paths.size(); ++i) tell_notices(paths[i], *found[i]);
    clips.takes = std::move(listed.takes);
    clips.far = std::move(listed.far);
    return clips;
}

tones::UnitTones united(AnalysedClips clips) {
    return tones::unite(std::move(clips.takes), clips.room ? &*clips.room : nullptr, std::move(clips.far));
}

}  // namespace tattletone::command
