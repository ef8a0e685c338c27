#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

#include "logbook/complaints/complaints.h"

namespace tattletone::logbook {
namespace {

constexpr double wide_enough_hz = 16000.0, long_enough_seconds = 3.0;
constexpr double faint_survives_kbit = 96.0;

std::string khz(double hz) {
    char text[32];
    std::snprintf(text, sizeof text, "%.1f kHz", hz / 1000.0);
    return text;
}

std::string codec_name(const std::string& codec) {
    static const std::map<std::string, std::string> names = {
        {"amr_nb", "AMR"}, {"amr_wb", "AMR wideband"}, {"aac", "AAC"},
        {"mp3", "MP3"},    {"opus", "Opus"},           {"vorbis", "Vorbis"},
        {"gsm", "GSM"},    {"pcm_mulaw", "G.711"},     {"pcm_alaw", "G.711"}};
    const auto known = names.find(codec);
    return known != names.end() ? known->second : codec;
}

// "AMR at about 13 kbit/s"; empty for a clip that lost nothing on its way.
std::string sent_as(const ClipFacts& facts) {
    if (!facts.lossy) return {};
    char rate[48] = "";
    if (facts.kilobits_per_second > 0.0)
        std::snprintf(rate, sizeof rate, " at about %.0f kbit/s", facts.kilobits_per_second);
    return codec_name(facts.codec) + rate;
}

std::string limits_of(const tones::Tones& clip, const ClipFacts& facts) {
    std::string text;
    const std::string sent = sent_as(facts);
    if (clip.usable.high_hz < wide_enough_hz)
        text += (sent.empty() ? "Nothing" : "The clip was sent as " + sent + ": nothing") + " above " +
                khz(clip.usable.high_hz) + " survives in this clip, so a whine above that cannot be judged from it. ";
    else if (!sent.empty() && facts.kilobits_per_second < faint_survives_kbit)
        text += "The clip was sent as " + sent + ", which may drop faint tones. ";
    if (clip.seconds < long_enough_seconds) text += "The clip is short. ";
    return text;
}

// What the absence of a tone says: the level above which a steady one would have been found.
std::string could_hide(const tones::Tones& clip, bool speech, const char* before) {
    const double low = std::max(1000.0, clip.usable.low_hz);
    const double high = std::min(wide_enough_hz, clip.usable.high_hz);
    double above = -400.0;
    for (const tones::FloorPoint& point : clip.floor)
        if (point.hz >= low && point.hz <= high) above = std::max(above, point.steady_above_dbfs);
    if (above < -300.0) return {};
    char level[32];
    std::snprintf(level, sizeof level, "%.0f dBFS", std::ceil(above));
    return std::string(before) + "What we can say: between " + khz(low) + " and " + khz(high) + " a steady tone of " +
           level +
           " or louder would have been found (0 dBFS is the loudest that the clip can hold); a fainter one may "
           "hide " +
           (speech ? "under the voices." : "in the noise.");
}

constexpr const char* what_to_ask =
    "Could you record it once more? What helps most: ten seconds or more as a wav or flac from a plain recorder "
    "app, with noise reduction and voice mode off and not sent through a messenger that shrinks it; the "
    "microphone two to five centimetres from the board; nobody speaking. Please tell us what the board was "
    "doing at that moment, and how far away the microphone was.";

}  // namespace

const char* complaint_kind_words(ComplaintKind kind) {
    static constexpr const char* words[] = {"known cause", "new tone", "undeclared tone", "not the board",
                                            "cannot tell"};
    return words[static_cast<int>(kind)];
}

SortedComplaint sort_complaint(const match::Findings& findings, const std::vector<Opinion>& opinions,
                               const ClipFacts& facts) {
    SortedComplaint sorted;
    const tones::Tones empty;
    const tones::Tones& clip = findings.unit.takes.empty() ? empty : findings.unit.takes[0].found;
    std::string text = "Thank you for the recording. ";
    const auto confirmed = [&](const std::string& rate) {
        return std::find_if(opinions.begin(), opinions.end(),
                            [&](const Opinion& o) { return o.rate == rate && o.said == "confirmed"; });
    };
    const match::Suspect* named = nullptr;
    for (const match::Suspect& suspect : findings.suspects) {
        if (suspect.probability < 0.5) continue;
        if (named == nullptr || (confirmed(named->rate) == opinions.end() && confirmed(suspect.rate) != opinions.end()))
            named = &suspect;
    }
    const auto elsewhere =
        std::count_if(findings.unit.tones.begin(), findings.unit.tones.end(), [](const tones::UnitTone& tone) {
            return tone.tone.origin == tones::Origin::mains || tone.tone.origin == tones::Origin::room;
        });
    const bool tells_little = clip.usable.high_hz < wide_enough_hz || clip.seconds < long_enough_seconds;
    if (named != nullptr) {
        sorted.rate = named->rate;
        const std::string part = named->part_name.empty() ? named->rate : named->part_name;
        const auto known = confirmed(named->rate);
        if (known != opinions.end()) {
            sorted.kind = ComplaintKind::known_cause;
            std::string units;
            for (const Opinion& o : opinions)
                if (o.rate == named->rate && o.said == "confirmed") units += (units.empty() ? "" : ", ") + o.serial;
            text += "The tone in it is one that we know: " + part + " (" + named->rate + "), the same as in unit " +
                    units + ".";
            if (!known->cause.empty()) text += " The cause there: " + known->cause + ".";
            if (!known->fix.empty()) text += " It was fixed by " + known->fix + ".";
            text += " We will come back to you about your board.";
        } else {
            sorted.kind = ComplaintKind::new_tone;
            text += "There is a tone of the board in it. It most likely comes from " + part + " (" + named->rate +
                    "); we have not confirmed that yet.\n\n" + what_to_ask;
        }
    } else if (findings.verdict == match::Verdict::unknown) {
        sorted.kind = ComplaintKind::undeclared_tone;
        text += findings.board.empty()
                    ? "There is a tone in it that may be the board's. We have not compared it yet with "
                      "what runs there, and are looking into it.\n\n"
                    : "There is a tone in it that may well be the board's, and it fits nothing that we "
                      "know to run there at such a rate. We are looking into it.\n\n";
        text += what_to_ask;
    } else if ((elsewhere > 0 || facts.like_speech) && !tells_little) {
        sorted.kind = ComplaintKind::not_the_board;
        sorted.speech_only = facts.like_speech;
        text += facts.like_speech
                    ? "We hear no tone of the board in it. What comes and goes in it sounds like speech, as far as "
                      "its rhythm tells."
                    : "We hear no tone of the board in it; the steady tones that are there come from the mains or "
                      "the room.";
        text +=
            could_hide(clip, facts.like_speech, "\n\n") +
            "\n\nIf you still hear the whine, please record it again with the recorder, and not your ear, close to the "
            "board" +
            (facts.like_speech ? " and with nobody speaking" : "") +
            ", and once more with the board unplugged and everything else as it was.";
    } else {
        sorted.kind = ComplaintKind::cannot_tell;
        text += "From this recording we cannot tell whether the board sounds.";
        if (facts.like_speech) text += " Most of what is in it sounds like speech.";
        text += could_hide(clip, facts.like_speech, " ") + "\n\n" + what_to_ask;
    }
    const std::string limits = limits_of(clip, facts);
    sorted.reply = limits.empty() ? text : text + "\n\n" + limits.substr(0, limits.size() - 1);
    return sorted;
}

}  // namespace tattletone::logbook
