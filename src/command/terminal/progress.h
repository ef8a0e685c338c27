#pragma once

#include <chrono>
#include <optional>
#include <string>

namespace tattletone::command {

/// A line on standard error that says how far long work is: only on a terminal, only after half a
/// second, at most ten times a second, and gone when the work is.
class Progress {
  public:
    Progress();
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;
    void show(const std::string& what, double seconds, std::optional<double> of_seconds);

  private:
    using Clock = std::chrono::steady_clock;
    bool wanted_;
    bool shown_ = false;
    Clock::time_point next_;
};

}  // namespace tattletone::command
