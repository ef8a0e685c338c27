#pragma once

#include <memory>

namespace tattletone::sound {

/// While one lives, lines that the sound libraries write to standard error about their own source
/// files are dropped, and everything else is passed on. PortAudio 19.6 writes such lines when a
/// device goes away and offers no way to switch them off. Does nothing where there is no such habit
/// (not on Linux).
class StderrFilter {
  public:
    static std::shared_ptr<StderrFilter> keep();  ///< one for all who hold it
    ~StderrFilter();
    StderrFilter(const StderrFilter&) = delete;
    StderrFilter& operator=(const StderrFilter&) = delete;

  private:
    StderrFilter();
    void end();
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace tattletone::sound
