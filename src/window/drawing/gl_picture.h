#pragma once

#include <cstdint>
#include <memory>
#include <tuple>
#include <vector>

#include "window/drawing/palette.h"
#include "window/shown.h"

namespace tattletone::window {

/// The spectrogram as an OpenGL texture, made anew only when something about it changed. Needs the
/// screen's context while it lives.
class SpectrogramTexture {
  public:
    ~SpectrogramTexture();
    /// 0 where there is none to show.
    std::uintptr_t update(const Shown& shown, const ViewState& view);

  private:
    unsigned id_ = 0;
    std::shared_ptr<const session::Spectrogram> made_of_;
    FrequencyAxis axis_;
    Look look_ = Look::dark;
    int width_ = 0, height_ = 0;
    double from_ = 0.0, to_ = 0.0;
};

}  // namespace tattletone::window
