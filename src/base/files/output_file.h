#pragma once

#include <cstdint>
#include <cstdio>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/files/output_kind.h"
#include "base/result.h"

namespace tattletone::base {

/// A file that is to be written, and what the rule of the house needs to know about it.
///
/// The rule: a new file is written beside its place and renamed, so that it stands there whole or not at
/// all. What stands there already is replaced only where it carries this program's mark for the same kind;
/// `overwrite` lifts that, except for a file that the same command reads, a database that `older_copy` does
/// not release, a folder, a disk, a link that leads nowhere, and a file that is write-protected. A link to a
/// file stays and its target is judged and replaced. Devices and pipes are written straight.
struct OutputFile {
    OutputKind kind = OutputKind::own_file;
    std::string path = {};
    bool overwrite = false;
    bool overwrite_can_be_asked = false;  ///< the error may point to --overwrite
    /// Files that the same command reads; of a folder, everything in it. Known by identity, not by name.
    std::vector<std::string> inputs = {};
    /// Of a copy of the logbook: whether the database at the path is an older copy of the same logbook.
    std::function<std::optional<Error>(const std::string& path, bool overwrite)> older_copy = {};
};

/// Why it may not be written there; nothing where it may. Touches nothing. Ask before long work; writing asks again.
std::optional<Error> judge(const OutputFile& wanted);

/// Writes `content` by the rule.
std::optional<Error> write_output(const OutputFile& wanted, std::string_view content);

/// A file that is being made beside its place. Dropped before `put_in_place`, it leaves nothing; of a process
/// that was killed it leaves "NAME.part-" with a UUID, which the next one for the same place takes away (of recordings:
/// `rescue_left_overs`).
class FileInMaking {
  public:
    /// Errors: those of `judge`, a device, no such folder, no permission.
    static Result<FileInMaking> begin(const OutputFile& wanted);
    ~FileInMaking();
    FileInMaking(FileInMaking&&) noexcept;
    FileInMaking& operator=(FileInMaking&&) noexcept;

    /// Recordings that killed processes left half-made for this place, brought to the first free `other_place` (called
    /// with 1, 2 …); smaller ones than `least_bytes` are taken away. Where they stand now.
    static std::vector<std::string> rescue_left_overs(const OutputFile& wanted, std::uintmax_t least_bytes,
                                                      const std::function<std::string(int)>& other_place);

    std::FILE* stream();       ///< open for reading and writing
    std::string path() const;  ///< where it lies meanwhile
    /// Brings it to its place, and to the disk unless it is an `own_file`. Where that was taken meanwhile,
    /// `other_place` (called with 1, 2 …) is asked for another one; without it this is an error. Gives the path as
    /// asked for.
    Result<std::string> put_in_place(const std::function<std::string(int)>& other_place = {});

  private:
    struct State;
    explicit FileInMaking(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

/// A sentence for what the system said (errno) when a file was to be written, with what became of it then.
Error cannot_write(const std::string& path, int error_number, const std::string& then = ", nothing was kept");

/// Whether both name one file or folder: through links, hard links, and whatever the letters' case.
bool same_file(const std::string& a, const std::string& b);
/// The same, also where nothing stands there yet.
bool same_place(const std::string& a, const std::string& b);

}  // namespace tattletone::base
