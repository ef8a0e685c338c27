#include "session/live/follow_meter.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tattletone::session {
namespace {

constexpr double smoothing_seconds = 0.5, spot_seconds = 1.0;
constexpr double start_after_seconds = 1.0;
constexpr double past_seconds = 30.0;
constexpr double lowest_dbfs = -160.0;

}  // namespace

void FollowMeter::add(double seconds, double dbfs) {
    dbfs = std::max(dbfs, lowest_dbfs);
    if (!first_seconds_) {
        first_seconds_ = last_seconds_ = seconds;
        smoothed_ = slow_ = dbfs;
        return;
    }
    const double step = seconds - last_seconds_;
    if (step < 0.0) restart();  // another sound
    if (step <= 0.0) return;
    last_seconds_ = seconds;
    smoothed_ += (1.0 - std::exp(-step / smoothing_seconds)) * (dbfs - smoothed_);
    slow_ += (1.0 - std::exp(-step / spot_seconds)) * (dbfs - slow_);
    if (!start_) {
        if (seconds - *first_seconds_ < start_after_seconds) return;
        start_ = smoothed_;
        highest_ = smoothed_;
    }
    highest_ = std::max(highest_, smoothed_);
    past_.push_back({seconds, smoothed_ - *start_});
    const auto stale = std::find_if(past_.begin(), past_.end(),
                                    [&](const Moment& moment) { return moment.seconds >= seconds - past_seconds; });
    past_.erase(past_.begin(), stale);
}

void FollowMeter::restart() {
    *this = FollowMeter(hz_);
}

std::optional<double> FollowMeter::db() const {
    if (!start_) return std::nullopt;
    return smoothed_ - *start_;
}

std::optional<double> FollowMeter::highest_db() const {
    if (!start_) return std::nullopt;
    return highest_ - *start_;
}

bool FollowMeter::name_spot(std::string name) {
    if (!start_) return false;
    if (name.empty()) name = "spot " + std::to_string(spots_.size() + 1);
    spots_.push_back({std::move(name), slow_ - *start_});
    return true;
}

double clicks_per_second(double db) {
    return std::clamp(2.0 * std::exp2(db / 6.0), 0.5, 32.0);
}

int FollowMeter::loudest() const {
    const auto best =
        std::max_element(spots_.begin(), spots_.end(), [](const Spot& a, const Spot& b) { return a.db < b.db; });
    return best == spots_.end() ? -1 : static_cast<int>(best - spots_.begin());
}

}  // namespace tattletone::session
