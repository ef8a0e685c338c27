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
#include <vector>

#include "result.h"
#include "session/kept_sound.h"
#include "session/listening_window.h"
#include "sound/recording.h"
#include "sound/sound_source.h"
#include "tones/tones.h"

namespace tattletone {

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
    DeviceState state = DeviceState::running;
    std::string message;  ///< for the user; empty while all is well
    /// The newest stretch without a gap, up to ten seconds, and what was found in it. Both null
    /// until half a second of it is there.
    std::shared_ptr<const Recording> window;
    std::shared_ptr<const Tones> tones;
    double analysed_until_seconds = 0.0;  ///< `seconds_heard` at the end of the window
    double analysis_seconds = 0.0;        ///< processor time of the last analysis
};

struct LiveOptions {
    double window_seconds = 10.0;
    double analyse_every_seconds =
        0.5;                ///< more seldom where an analysis is dear, to stay near 5 % of a core
    std::string keep_path;  ///< empty: nothing is kept
};

/// Listens, and finds tones in what it hears, on a thread of its own. Any thread may ask for the
/// newest snapshot.
class LiveEar {
  public:
    using Analysis = std::function<Tones(const Recording&)>;

    /// Error: the file to keep cannot be written.
    static Result<std::unique_ptr<LiveEar>> start(std::unique_ptr<SoundSource> source,
                                                  Analysis analysis,
                                                  const LiveOptions& options = {});
    ~LiveEar();  ///< ends without keeping anything unless `stop` came before

    std::shared_ptr<const Snapshot> newest() const;
    /// Waits for one with a number above `sequence`; gives the newest when the time is over.
    std::shared_ptr<const Snapshot> wait_for(std::uint64_t sequence,
                                             std::chrono::milliseconds time) const;
    /// Ends the listening and settles the kept files; the list is empty where none was asked for.
    Result<std::vector<std::string>> stop();

  private:
    LiveEar(std::unique_ptr<SoundSource> source, Analysis analysis, const LiveOptions& options,
            std::optional<KeptSound> kept);
    void listen();
    bool drain();
    void analyse();
    void publish();
    void end();

    std::unique_ptr<SoundSource> source_;
    const Analysis analysis_;
    const LiveOptions options_;
    // The listening thread's own.
    std::optional<KeptSound> kept_;
    ListeningWindow window_;
    std::vector<float> block_;
    Snapshot next_;

    mutable std::mutex mutex_;  // guards what follows
    mutable std::condition_variable changed_;
    std::shared_ptr<const Snapshot> newest_;
    bool stop_ = false;
    std::thread thread_;
};

}  // namespace tattletone
