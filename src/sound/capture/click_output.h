#pragma once

#include <memory>

#include "base/result.h"

namespace tattletone::sound {

/// Clicks through the system's default output, for headphones.
class ClickOutput {
  public:
    /// Waits up to 5 s for the sound system. Errors: no output, in use, no answer. Call it, and the
    /// destructor, where waiting does no harm.
    static Result<std::unique_ptr<ClickOutput>> open();
    ~ClickOutput();
    void set_rate(double clicks_per_second);  ///< 0 at first; from any thread, without waiting
    void click();                             ///< one; likewise

  private:
    struct Stream;
    explicit ClickOutput(std::unique_ptr<Stream> stream);
    std::unique_ptr<Stream> stream_;
};

}  // namespace tattletone::sound
