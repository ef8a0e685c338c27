#pragma once

#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <optional>
#include <string_view>

namespace tattletone::base {

/// What a system does to a file that is being written, beyond the standard library. The only file of
/// `base` that knows which system this is.

/// A new file, open for reading and writing, that nobody else takes for a left-over while it is open.
/// Null where it cannot be made (errno; EEXIST where it is there).
std::FILE* make_file(const std::filesystem::path& path);
/// Calls `see_to` where `make_file` made the file in a process that is no more; nobody else does meanwhile.
void if_left_over(const std::filesystem::path& path, const std::function<void()>& see_to);
/// Cuts the file to that length. False: errno.
bool cut_to(std::FILE* file, std::int64_t bytes);
/// Waits until the file, or the names in a folder, are on the disk. False: errno.
bool bring_to_disk(std::FILE* file);
void bring_names_to_disk(const std::filesystem::path& folder);

/// `new_file` gets the permissions of what it replaces, and its owner where that is allowed.
void take_permissions_of(std::FILE* new_file, const std::filesystem::path& old_file);
/// Renames where nothing stands. Null: done; EEXIST: something stands there; another errno.
int rename_to_free(const std::filesystem::path& from, const std::filesystem::path& to);
/// No write permission for this process, or for nobody (which the superuser's process would ignore).
bool is_write_protected(const std::filesystem::path& path);
/// Which of the process's standard streams (0 input, 1 output, 2 errors) is this regular file.
std::optional<int> standard_stream_at(const std::filesystem::path& path);

/// The open descriptor that a name such as /dev/stdout or /dev/fd/5 stands for.
std::optional<int> descriptor_named(std::string_view path);
/// Writes into that descriptor (where given), else into the device or pipe at the path. Null: done; else errno.
int write_straight(const std::filesystem::path& path, std::optional<int> descriptor, std::string_view content);

}  // namespace tattletone::base
