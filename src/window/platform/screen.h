#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "window/drawing/brush.h"
#include "window/keys.h"

struct GLFWwindow;

namespace tattletone::window {

/// The window on the screen: GLFW, OpenGL and Dear ImGui behind it. One at a time, one thread.
class Screen {
  public:
    static Result<std::unique_ptr<Screen>> open(int width, int height);
    ~Screen();

    /// Waits until something happens (input, `wake`, time over) and takes it in.
    void wait(double seconds);
    static void wake();  ///< from any thread

    bool closing() const;
    void close();
    bool visible() const;
    bool had_input();                    ///< since the last call
    std::vector<KeyPress> keys();        ///< pressed since the last call, not into a field
    std::vector<std::string> dropped();  ///< paths since the last call

    void begin_frame(const Palette& colours, double user_scale);
    void end_frame(const Palette& colours);
    /// What `end_frame` drew, before it is shown: RGBA, the lowest row first.
    std::vector<std::uint8_t> pixels(int& width, int& height) const;
    void show();

    float unit() const { return unit_; }
    float width() const;
    float height() const;
    Brush brush(const Palette& colours);
    Places& places() { return places_; }
    void copy(const std::string& text);
    std::uint64_t frames() const { return frames_; }

  private:
    explicit Screen(GLFWwindow* window);
    void load_fonts(double scale);
    static void on_key(GLFWwindow* window, int key, int scancode, int action, int mods);
    static void on_drop(GLFWwindow* window, int count, const char** paths);
    static Screen& of(GLFWwindow* window);
    void watch_input();

    struct Release {
        int key, scancode, mods;
    };
    GLFWwindow* window_;
    float unit_ = 15.0f;
    double fonts_scale_ = 0.0;
    bool dark_ = false, styled_ = false;
    bool input_ = true;
    std::uint64_t frames_ = 0;
    std::vector<KeyPress> keys_;
    std::vector<Release> releases_;  // told a frame later, or a quick press would never be seen
    std::vector<std::string> dropped_;
    Places places_;
    Drafts drafts_;

  public:
    Drafts& drafts() { return drafts_; }
};

}  // namespace tattletone::window
