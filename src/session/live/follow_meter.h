#pragma once

#include <optional>
#include <string>
#include <vector>

namespace tattletone::session {

/// The level of one tone while the microphone moves over the board: smoothed over 0.5 s, relative
/// to where it stood one second after the start, with the highest value held, and named spots.
class FollowMeter {
  public:
    struct Spot {
        std::string name;
        double db = 0.0;  ///< relative to the start, mean over the second before it was named
    };

    explicit FollowMeter(double hz) : hz_(hz) {}
    double hz() const { return hz_; }

    /// A new level. `seconds` rises; where it falls, another sound has begun, and all starts anew.
    void add(double seconds, double dbfs);
    /// The start is here and now; the held maximum and the spots go.
    void restart();

    /// Empty until the start is known.
    std::optional<double> db() const;
    std::optional<double> highest_db() const;
    double dbfs() const { return smoothed_; }
    std::optional<double> start_dbfs() const { return start_; }

    /// Keeps the present level under `name` ("spot 3" where it is empty). False before the start.
    bool name_spot(std::string name);
    const std::vector<Spot>& spots() const { return spots_; }
    /// Index of the loudest, -1 without spots.
    int loudest() const;
    /// The last half minute, relative to the start.
    struct Moment {
        double seconds, db;
    };
    const std::vector<Moment>& past() const { return past_; }

  private:
    double hz_;
    double smoothed_ = 0.0, slow_ = 0.0;
    double last_seconds_ = 0.0;
    std::optional<double> first_seconds_, start_;
    double highest_ = 0.0;
    std::vector<Spot> spots_;
    std::vector<Moment> past_;
};

/// For the ear: two clicks a second at the start's level, twice as many for every 6 dB more, 0.5
/// to 32.
double clicks_per_second(double db);

}  // namespace tattletone::session
