#include "base/files/output_file.h"

#include <cerrno>

#include "base/files/file_content.h"
#include "base/files/paths.h"
#include "base/files/system_output.h"

namespace tattletone::base {
namespace {

namespace fs = std::filesystem;

bool is_link(const fs::path& path) {
    std::error_code problem;
    return fs::is_symlink(fs::symlink_status(path, problem));
}

// From the root, through links as far as it is there.
fs::path whole_path(const std::string& path) {
    std::error_code problem;
    return fs::weakly_canonical(fs::absolute(path_of(path), problem), problem);
}

// Within `folder`, at whatever depth, by the identity of the folders above.
bool lies_in(const std::string& path, const std::string& folder) {
    for (fs::path above = whole_path(path).parent_path();; above = above.parent_path()) {
        if (same_file(utf8_of(above), folder)) return true;
        if (above == above.parent_path()) return false;
    }
}

// SQLite keeps NAME-wal, NAME-shm and NAME-journal beside a database, the logbook NAME.clips.
std::optional<std::string> database_that_owns(const std::string& path) {
    const auto database_before = [](const std::string& name, std::string_view ending) -> std::optional<std::string> {
        if (!name.ends_with(ending) || name.size() == ending.size()) return std::nullopt;
        std::string before = name.substr(0, name.size() - ending.size());
        const auto seen = look_at_file(before);
        if (!seen || seen->content != FileContent::database) return std::nullopt;
        return before;
    };
    fs::path place = whole_path(path);
    for (const char* ending : {"-wal", "-shm", "-journal"})
        if (auto owner = database_before(utf8_of(place), ending)) return owner;
    for (; place != place.parent_path(); place = place.parent_path())
        if (place.extension() == ".clips")
            if (auto owner = database_before(utf8_of(place), ".clips")) return owner;
    return std::nullopt;
}

bool needs_a_regular_file(OutputKind kind) {
    return kind == OutputKind::recording || kind == OutputKind::logbook_copy;
}

std::string seen_words(const std::optional<SeenFile>& seen) {
    if (!seen) return "a file stands there that cannot be read";
    if (seen->mark) return "a " + std::string(words_of(*seen->mark)) + " stands there";
    if (seen->unmarked_page) return "a page stands there that an earlier version of this program made";
    if (seen->content == FileContent::recording) return "a recording stands there";
    if (seen->content == FileContent::board_sheet) return "a board sheet stands there";
    if (seen->content == FileContent::database) return "a logbook or another database stands there";
    return "a file stands there that this program did not make";
}

std::optional<Error> judge_inputs(const OutputFile& wanted, const std::string& path) {
    const Error read{path, "the same command reads this file", "Give another name for what is written"};
    for (const std::string& input : wanted.inputs) {
        std::error_code problem;
        if (same_file(input, path)) return read;
        if (fs::is_directory(path_of(input), problem) && lies_in(path, input)) return read;
    }
    if (descriptor_named(path)) return std::nullopt;
    const auto stream = standard_stream_at(path_of(path));
    if (!stream) return std::nullopt;
    if (*stream == 0) return read;
    return Error{path, *stream == 1 ? "standard output goes into this file" : "the error messages go into this file",
                 "Give another name for what is written"};
}

std::optional<Error> judge_regular(const OutputFile& wanted) {
    const std::string& path = wanted.path;
    if (auto error = judge_inputs(wanted, path)) return error;
    if (descriptor_named(path)) return std::nullopt;  // it is written on, not replaced
    const auto seen = look_at_file(path);
    if (seen && seen->content == FileContent::database) {
        if (wanted.kind != OutputKind::logbook_copy || !wanted.older_copy)
            return Error{path, seen_words(seen), "Give another name: a database is never overwritten"};
        if (auto error = wanted.older_copy(path, wanted.overwrite)) return error;
    } else {
        const bool own_place =
            wanted.kind == OutputKind::own_file && seen && seen->content == FileContent::other && !seen->mark;
        const bool same_kind = seen && seen->mark == wanted.kind;
        if (!wanted.overwrite && !own_place && !same_kind) {
            std::string what = seen_words(seen);
            if (seen && seen->mark) what += ", and this is to be a " + std::string(words_of(wanted.kind));
            return Error{path, what,
                         std::string("Give another name") +
                             (wanted.overwrite_can_be_asked ? ", or --overwrite if it may go" : "")};
        }
    }
    if (is_write_protected(path_of(path)))
        return Error{path, "this file is write-protected", "Take the protection away, or give another name"};
    return std::nullopt;
}

}  // namespace

bool same_file(const std::string& a, const std::string& b) {
    std::error_code problem;
    return fs::equivalent(path_of(a), path_of(b), problem) && !problem;
}

bool same_place(const std::string& a, const std::string& b) {
    return same_file(a, b) || whole_path(a) == whole_path(b);
}

Error cannot_write(const std::string& path, int error_number, const std::string& then) {
    switch (error_number) {
        case ENOENT:
        case ENOTDIR:
            return {path, "its folder does not exist", "Make the folder, or give another place"};
        case EISDIR:
            return {path, "this is a folder", "Give the name of a file in it"};
        case EACCES:
        case EPERM:
            return {path, "no permission to write there", "Give a folder of your own"};
        case EROFS:
            return {path, "the disk can only be read", "Give a folder on another disk"};
        case ENAMETOOLONG:
            return {path, "the name is too long", "Give a shorter one"};
        case EPIPE:
            return {path, "nobody reads it any more", "Check what was to read it"};
        case ENOSPC:
#ifdef EDQUOT
        case EDQUOT:
#endif
            return {path, "the disk is full" + then, "Free some space, or give another disk"};
        case EFBIG:
            return {path, "the file would be larger than allowed there" + then, "Give another disk, or keep less"};
        default:
            return {path, "it cannot be written" + then, "Check the disk, or give another place"};
    }
}

std::optional<Error> judge(const OutputFile& wanted) {
    const std::string& path = wanted.path;
    const fs::path name = path_of(path);
    std::error_code problem;
    const fs::file_status status = fs::status(name, problem);
    const Error device{path, "this is a device or a pipe",
                       "Give the name of a file: a " + std::string(words_of(wanted.kind)) +
                           " is made beside its place and moved there"};
    if (needs_a_regular_file(wanted.kind) && descriptor_named(path)) return device;
    if (wanted.kind == OutputKind::logbook_copy && is_link(name))
        return Error{path, "this is a link, and a logbook lies beside its recordings",
                     "Give the name that the link leads to, or another one"};
    switch (status.type()) {
        case fs::file_type::not_found: {
            if (is_link(name))
                return Error{path, "this is a link that leads nowhere", "Give another name, or take the link away"};
            if (!name.has_filename())
                return Error{path, "this is the name of a folder", "Give the name of a file in it"};
            if (!fs::is_directory(folder_of(name), problem)) return cannot_write(path, ENOENT);
            break;
        }
        case fs::file_type::directory:
            return Error{path, "this is a folder", "Give the name of a file in it"};
        case fs::file_type::block:
            return Error{path, "this is a disk", "Give the name of a file"};
        case fs::file_type::regular:
            if (auto error = judge_regular(wanted)) return error;
            break;
        case fs::file_type::none:
        case fs::file_type::unknown:
            if (is_link(name))
                return Error{path, "this is a link that leads nowhere", "Give another name, or take the link away"};
            return cannot_write(path, problem.value());
        default:
            if (needs_a_regular_file(wanted.kind)) return device;
            if (status.type() != fs::file_type::character)
                if (auto error = judge_inputs(wanted, path)) return error;
            return std::nullopt;
    }
    if (wanted.kind != OutputKind::own_file)
        if (const auto owner = database_that_owns(path))
            return Error{path, "this place belongs to the logbook " + *owner, "Give another name"};
    return std::nullopt;
}

std::optional<Error> write_output(const OutputFile& wanted, std::string_view content) {
    if (auto error = judge(wanted)) return error;
    const fs::path name = path_of(wanted.path);
    std::error_code problem;
    const auto type = fs::status(name, problem).type();
    const auto descriptor = descriptor_named(wanted.path);
    if (descriptor || (type != fs::file_type::not_found && type != fs::file_type::regular)) {
        const int why = write_straight(name, descriptor, content);
        if (why != 0) return cannot_write(wanted.path, why);
        return std::nullopt;
    }
    auto file = FileInMaking::begin(wanted);
    if (!file) return file.error();
    errno = 0;
    if (std::fwrite(content.data(), 1, content.size(), file->stream()) != content.size())
        return cannot_write(wanted.path, errno);
    const auto placed = file->put_in_place();
    if (!placed) return placed.error();
    return std::nullopt;
}

}  // namespace tattletone::base
