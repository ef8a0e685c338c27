#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "base/result.h"
#include "session/live/listening_window.h"
#include "session/live/live_picture.h"
#include "session/live/tone_level.h"
#include "session/sitting/kept_sound.h"
#include "sound/capture/sound_source.h"
#include "sound/recording.h"
#include "tones/tones.h"

namespace tattletone::session {

/// What is known at one moment. Never changed once it is published.
struct Snapshot {
    std::uint64_t sequence = 0;  ///< rises by one with each
    std::string device;
    double sample_rate_hz = 0.0;
    double seconds_heard = 0.0;     ///< sound received so far, without the gaps
    std::uint64_t lost_frames = 0;  ///< the program was too slow for them
    std::uint64_t dropouts = 0;     ///< the system dropped sound, amount unknown
    std::uint64_t gaps = 0;         ///< places where sound is missing, whatever the reason
    Level level;                    ///< of the last half second
    sound::DeviceState state = sound::DeviceState::running;
    std::string message;  ///< for the user; empty while all is well
    /// The newest segment without a gap, up to ten seconds, and what was found in it. Both null
    /// until half a second of it is there.
    std::shared_ptr<const sound::Recording> window;
    std::shared_ptr<const tones::Tones> tones;
    double analysed_until_seconds = 0.0;  ///< `seconds_heard` at the end of the window
    double analysis_seconds = 0.0;        ///< processor time of the last analysis

    // Only with LiveOptions::pictures.
    std::shared_ptr<const SpectrumCurve> spectrum;  ///< of the newest seconds
    std::shared_ptr<const Spectrogram> spectrogram;
    bool paused = false;
    std::optional<double> followed_hz;  ///< what `follow` asked for …
    NearLevel followed;                 ///< … and its level in the newest 0.3 s
    double capture_seconds = 0.0;       ///< of the capture that runs
    /// Kept segments, each with the number that `capture` or `keep_past` gave; the newest last, at
    /// most four.
    std::vector<std::pair<int, std::shared_ptr<const sound::Recording>>> kept;
};

struct LiveOptions {
    double window_seconds = 10.0;
    double analyse_every_seconds = 0.5;   ///< more seldom where an analysis is dear, to stay near 5 % of a core
    base::OutputFile keep;                ///< without a path nothing is kept
    double publish_every_seconds = 0.25;  ///< level and device state, between two analyses
    bool pictures = false;                ///< spectrum, spectrogram and what else a window needs
    std::function<void()> published;      ///< called on the listening thread after each snapshot
};

/// Listens, and finds tones in what it hears, on a thread of its own. Any thread may ask for the
/// newest snapshot.
class LiveEar {
  public:
    using Analysis = std::function<tones::Tones(const sound::Recording&)>;

    /// Error: the file to keep cannot be written.
    static Result<std::unique_ptr<LiveEar>> start(std::unique_ptr<sound::SoundSource> source, Analysis analysis,
                                                  const LiveOptions& options = {});
    ~LiveEar();  ///< ends without keeping anything unless `stop` came before

    std::shared_ptr<const Snapshot> newest() const;
    /// Waits for one with a number above `sequence`; gives the newest when the time is over.
    std::shared_ptr<const Snapshot> wait_for(std::uint64_t sequence, std::chrono::milliseconds time) const;
    // The following need LiveOptions::pictures. All return at once; the next snapshots tell.
    void pause(bool paused);  ///< what comes meanwhile is lost, and a gap follows it
    void follow(std::optional<double> hz, double half_width_hz);
    void resolve(double bin_hz);  ///< the spectrum: bins as narrow as this where sound lasts
    /// Keeps the next so many seconds, without a gap or with gaps marked; ends a capture that runs.
    int capture(double seconds, bool through_gaps = false);
    void end_capture();
    /// Keeps the last so many seconds, up to LivePicture::longest_past_seconds.
    int keep_past(double seconds);

    /// Ends the listening and settles the kept files; the list is empty where none was asked for.
    KeptFiles stop();

  private:
    LiveEar(std::unique_ptr<sound::SoundSource> source, Analysis analysis, const LiveOptions& options,
            std::optional<KeptSound> kept);
    void listen();
    bool drain();
    void analyse();
    void obey();
    void keep(int number, sound::Recording recording);
    void draw();
    void publish();
    void end();

    std::unique_ptr<sound::SoundSource> source_;
    const Analysis analysis_;
    const LiveOptions options_;
    // The listening thread's own.
    std::optional<KeptSound> kept_;
    ListeningWindow window_;
    std::vector<float> block_;
    Snapshot next_;
    std::optional<LivePicture> picture_;
    bool discarded_ = false;  // sound came while paused
    int capture_number_ = 0;

    mutable std::mutex mutex_;  // guards what follows
    mutable std::condition_variable changed_;
    std::shared_ptr<const Snapshot> newest_;
    bool stop_ = false;
    struct Orders {
        bool paused = false;
        std::optional<double> follow_hz;
        double follow_half_width_hz = 0.0;
        double bin_hz = 10.0;
        int last_number = 0;
        struct Capture {
            int number = 0;
            double seconds = 0.0;  // 0: end it
            bool through_gaps = false;
        };
        std::optional<Capture> capture;
        std::vector<std::pair<int, double>> past;
    };
    Orders orders_;
    std::thread thread_;
};

}  // namespace tattletone::session
