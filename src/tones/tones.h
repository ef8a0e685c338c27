#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tattletone::tones {

struct FineSpectrum;  // tones/detect/fine_spectrum.h

/// Where a tone comes from, as far as the recordings can tell. `unsure`: a line that does not behave
/// as a board's would (in the room's events, in music, one of a dense cluster, there for a moment).
enum class Origin { board, room, mains, unsure };

struct TonePoint {
    double seconds = 0.0;  ///< from the start of the recording, centre of the segment
    double hz = 0.0;
    double level_dbfs = 0.0;
};

/// A narrow line in one recording.
struct Tone {
    double hz = 0.0;                      ///< mean over the time in which the tone is present
    double hz_sd = 0.0;                   ///< one standard deviation of `hz`, without the sound card's clock error
    double level_dbfs = 0.0;              ///< of the line alone, mean over the recording; 0 dBFS is a full-scale sine
    double tone_to_noise_db = 0.0;        ///< ECMA-418-1: tone over the noise in its critical band
    double prominence_db = 0.0;           ///< ECMA-418-1 prominence ratio
    std::optional<bool> prominent;        ///< by either criterion; none above 11.2 kHz and below 89.1 Hz
    double present = 1.0;                 ///< share of the recording in which it is there, 0 to 1
    double start_hz = 0.0, end_hz = 0.0;  ///< of the fitted path at the first and the last moment it is there
    double drift_hz = 0.0,
           drift_hz_sd = 0.0;  ///< end less start in one segment, also where that may be chance; sd 0: not told
    double wander_hz = 0.0;    ///< root mean square of the path about `hz`; 0 where it is steady in one segment
    bool steady = true;        ///< as narrow as the whole recording can resolve
    double evidence = 0.0;     ///< how far the detection statistic stands over its threshold, in dB
    Origin origin = Origin::board;
    bool faint = false;              ///< under the threshold; counts because a declared rate says where to look
    double log_noise_density = 0.0;  ///< of a faint one, as in FaintLine
    bool comb = false;               ///< faint, and counts only together with the others of its comb
    int mains_multiple = 0;          ///< so many times `mains_hz`, if it is the mains'; 0: it cannot be
    double mains_hz = 0.0;           ///< of the mains then, by the recording's low multiples
    double bursts_hz = 0.0, bursts_hz_sd = 0.0;  ///< it sounds in bursts of this pace; 0: not that is known
    std::vector<Tone> sidebands = {};  ///< those that the bursts make, told here and not as tones of their own
    /// Where the recording is clipped, stronger tones would make a line here anyway: at `product_hz`, known to
    /// `product_hz_sd`; 0: no such line.
    double product_hz = 0.0, product_hz_sd = 0.0;
    std::string rejection;  ///< why the origin is `unsure`, `room` or `mains`; one clause
    std::vector<TonePoint> history;
};

/// A peak below the threshold of `Tones::tones`: most are noise.
struct FaintLine {
    double hz = 0.0, hz_sd = 0.0;
    double level_dbfs = 0.0;
    double log_noise_density = 0.0;  ///< ln of the expected number of noise's peaks a Hz and a dB of level, here
};

/// What a recording's noise leaves to be found: the level above which a line would have been found.
/// Points ascend in frequency and lie within the usable band; between them interpolate in log hz.
struct FloorPoint {
    double hz = 0.0;
    double noise_dbfs_per_hz = 0.0;     ///< one-sided density, dBFS in a band of 1 Hz
    double steady_above_dbfs = 0.0;     ///< a steady line above this is found with probability 1/2 or more
    double wandering_above_dbfs = 0.0;  ///< the same for a line that wanders by a per cent or so
};

struct Band {
    double low_hz = 0.0, high_hz = 0.0;
};

/// A pace at which noise comes and goes (judge/pulses.h).
struct PulseLine {
    double hz = 0.0, hz_sd = 0.0;
};

struct SoundMark;

/// Everything that one recording holds.
struct Tones {
    std::string origin;
    double sample_rate_hz = 0.0;
    double seconds = 0.0;
    Band usable;                               ///< nothing is concluded outside
    double false_alarm_rate = 0.001;           ///< chance that noise alone makes one tone or more in the recording
    std::vector<Tone> tones;                   ///< ascending in hz
    std::vector<FaintLine> faint;              ///< ascending in hz; only of recordings that are one segment
    std::shared_ptr<const FineSpectrum> fine;  ///< only of recordings that are one segment, and not stored
    std::vector<PulseLine> pulses;             ///< only of recordings that are one segment, and not stored
    std::vector<FloorPoint> floor;
    std::vector<std::string> notices;
    std::shared_ptr<const SoundMark> mark = {};  ///< tells the sound again (join/sound_mark.h); of noise too
};

/// The floor's values at `hz`, clamped to its ends. The floor must not be empty.
FloorPoint floor_at(const Tones& tones, double hz);

}  // namespace tattletone::tones
