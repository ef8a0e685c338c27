#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/files/output_file.h"
#include "base/result.h"
#include "window/view_state.h"

namespace tattletone::window {

/// The first 64 kB of a file, as much as settings ever are; empty where it cannot be read.
std::string content_of(const std::string& path);
/// By the rule of output_file.h; makes the folder.
std::optional<Error> save_text(const std::string& path, base::OutputKind kind, std::string_view content);
/// `pixels`: four bytes each, the lowest row first (as OpenGL gives them).
std::optional<Error> save_png(const std::string& path, std::span<const std::uint8_t> pixels, int width, int height);

/// FOLDER/tattletone 2031-04-05 06.07.08.ENDING, with a number behind where that exists already.
std::string new_path(const std::string& folder, const std::string& ending);

/// What of a folder could be opened: folders, board sheets, and everything else that is no picture.
FolderView look_into(const std::string& folder);

}  // namespace tattletone::window
