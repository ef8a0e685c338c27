#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "base/files/output_file.h"
#include "base/result.h"
#include "sound/recording.h"

namespace tattletone::sound {

enum class ClipFormat { flac_16, flac_24, wav_16, wav_24, wav_float };

/// `.flac` is flac_24, `.wav` is wav_float. Error: another ending.
Result<ClipFormat> clip_format_for(const std::string& path);

/// Writes mono sound beside its final place and moves it there in `finish`: a clip stands there
/// whole or not at all. Dropped before `finish`, it leaves nothing. Integer formats clip at full
/// scale and round to nearest, so samples that came from such integers go back exactly.
class ClipWriter {
  public:
    /// Errors: those of `judge`, no permission, a sample rate the format cannot hold (flac: whole
    /// hertz up to 655350).
    static Result<ClipWriter> create(const base::OutputFile& place, double sample_rate_hz, ClipFormat format);
    ~ClipWriter();
    ClipWriter(ClipWriter&&) noexcept;
    ClipWriter& operator=(ClipWriter&&) noexcept;

    /// Error: the disk is full, gone …; from then on nothing is added.
    std::optional<Error> write(std::span<const float> samples);
    /// As `FileInMaking::put_in_place`: where the clip stands now. After an error of `write` it leaves nothing.
    Result<std::string> finish(const std::function<std::string(int)>& other_place = {});
    /// The same, and after an error of `write` a whole clip of what was on the disk by then.
    Result<std::string> finish_what_fitted(const std::function<std::string(int)>& other_place = {});

  private:
    Result<std::string> close(const std::function<std::string(int)>& other_place, bool in_part);
    struct State;
    explicit ClipWriter(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

std::optional<Error> write_clip(const base::OutputFile& place, const Recording& recording, ClipFormat format);
/// Replaces what stands there, recordings too: for those who make recordings up.
std::optional<Error> write_clip(const std::string& path, const Recording& recording, ClipFormat format);

}  // namespace tattletone::sound
