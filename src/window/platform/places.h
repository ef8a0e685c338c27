#pragma once

#include <map>
#include <string>

namespace tattletone::window {

/// Where the last frame drew what can be clicked, by the name that it shows, in window pixels. For
/// scripts that use the window as a person would: with TATTLETONE_PLACES=FILE in the environment
/// each frame that moved something writes "x y width height name" lines there.
class Places {
  public:
    Places();
    void begin() { now_.clear(); }
    void note(const std::string& name, float x, float y, float width, float height);
    void end();

  private:
    std::string path_;
    std::map<std::string, std::string> now_, written_;
};

}  // namespace tattletone::window
