#include <cerrno>
#include <utility>
#include <vector>

#include "base/files/output_file.h"
#include "base/files/paths.h"
#include "base/files/system_output.h"
#include "base/uuid.h"

namespace tattletone::base {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t uuid_letters = 36, longest_name_bytes = 200;
constexpr const char* part_word = ".part-";
constexpr int most_other_places = 10000;

// A link to a file stays; the file behind it is replaced.
fs::path place_behind(const std::string& path) {
    const fs::path name = path_of(path);
    std::error_code problem;
    if (!fs::is_symlink(fs::symlink_status(name, problem))) return name;
    const fs::path behind = fs::canonical(name, problem);
    return problem ? name : behind;
}

// What the names of half-made files for this place begin with; systems allow some 255 bytes.
std::string beginning_for(const fs::path& place) {
    std::string name = utf8_of(place.filename());
    if (name.size() > longest_name_bytes) {
        std::size_t end = longest_name_bytes;
        while (end > 0 && (static_cast<unsigned char>(name[end]) & 0xc0u) == 0x80u) --end;
        name.resize(end);
    }
    return name + part_word;
}

bool is_left_over_name(std::string_view name, std::string_view beginning) {
    if (!name.starts_with(beginning)) return false;
    name.remove_prefix(beginning.size());
    if (!is_uuid(name.substr(0, uuid_letters))) return false;
    name.remove_prefix(uuid_letters);
    return name.empty() || name == "-journal" || name == "-wal" || name == "-shm";
}

std::vector<fs::path> left_overs_of(const fs::path& place) {
    const std::string beginning = beginning_for(place);
    std::vector<fs::path> found;
    std::error_code problem;
    for (fs::directory_iterator entry(folder_of(place), problem), end; !problem && entry != end;
         entry.increment(problem)) {
        std::error_code unknown;
        if (is_left_over_name(utf8_of(entry->path().filename()), beginning) &&
            fs::is_regular_file(entry->symlink_status(unknown)))
            found.push_back(entry->path());
    }
    return found;
}

void remove_left_overs(const fs::path& place) {
    for (const fs::path& path : left_overs_of(place))
        if_left_over(path, [&] {
            std::error_code ignored;
            fs::remove(path, ignored);
        });
}

}  // namespace

struct FileInMaking::State {
    OutputFile wanted;
    fs::path part;
    std::FILE* file = nullptr;

    ~State() {
        if (file != nullptr) std::fclose(file);
        std::error_code ignored;
        if (part.empty()) return;
        fs::remove(part, ignored);
        for (const char* ending : {"-journal", "-wal", "-shm"}) fs::remove(path_of(utf8_of(part) + ending), ignored);
    }

    // Null: it stands there. EEXIST: something else does.
    int move_to(const fs::path& place, bool replace) {
        if (!replace) return rename_to_free(part, place);
        take_permissions_of(file, place);
        std::error_code problem;
        fs::rename(part, place, problem);
        return problem.value();
    }
};

FileInMaking::FileInMaking(std::unique_ptr<State> state) : state_(std::move(state)) {}
FileInMaking::~FileInMaking() = default;
FileInMaking::FileInMaking(FileInMaking&&) noexcept = default;
FileInMaking& FileInMaking::operator=(FileInMaking&&) noexcept = default;

Result<FileInMaking> FileInMaking::begin(const OutputFile& wanted) {
    if (auto error = judge(wanted)) return *error;
    const fs::path place = place_behind(wanted.path);
    std::error_code problem;
    const auto type = fs::status(place, problem).type();
    if (type != fs::file_type::not_found && type != fs::file_type::regular)
        return Error{wanted.path, "this is a device or a pipe", "Give the name of a file"};
    // Of a recording they hold sound that nobody can make again: `rescue_left_overs`.
    if (wanted.kind != OutputKind::recording) remove_left_overs(place);
    auto state = std::make_unique<State>();
    state->wanted = wanted;
    do {
        const fs::path part = folder_of(place) / path_of(beginning_for(place) + random_uuid());
        errno = 0;
        state->file = make_file(part);
        if (state->file != nullptr) state->part = part;
    } while (state->file == nullptr && errno == EEXIST);
    if (state->file == nullptr) return cannot_write(wanted.path, errno);
    return FileInMaking(std::move(state));
}

std::vector<std::string> FileInMaking::rescue_left_overs(const OutputFile& wanted, std::uintmax_t least_bytes,
                                                         const std::function<std::string(int)>& other_place) {
    std::vector<std::string> rescued;
    for (const fs::path& path : left_overs_of(place_behind(wanted.path)))
        if_left_over(path, [&] {
            std::error_code problem;
            const auto bytes = fs::file_size(path, problem);
            if (problem) return;
            if (bytes < least_bytes) {
                fs::remove(path, problem);
                return;
            }
            for (int others = 1; others < most_other_places; ++others) {
                OutputFile place = wanted;
                place.overwrite = false;
                place.path = other_place(others);
                if (judge(place)) continue;
                const int why = rename_to_free(path, path_of(place.path));
                if (why == 0) rescued.push_back(place.path);
                if (why != EEXIST) return;
            }
        });
    return rescued;
}

std::FILE* FileInMaking::stream() {
    return state_->file;
}
std::string FileInMaking::path() const {
    return utf8_of(state_->part);
}

Result<std::string> FileInMaking::put_in_place(const std::function<std::string(int)>& other_place) {
    State& state = *state_;
    errno = 0;
    const bool durable = state.wanted.kind != OutputKind::own_file;
    if (std::ferror(state.file) != 0 || std::fflush(state.file) != 0 || (durable && !bring_to_disk(state.file)))
        return cannot_write(state.wanted.path, errno);
    for (int others = 0;;) {
        auto error = judge(state.wanted);
        if (!error) {
            const fs::path place = place_behind(state.wanted.path);
            std::error_code problem;
            const int why = state.move_to(place, fs::exists(place, problem));
            if (why == 0) {
                state.part.clear();
                if (durable) bring_names_to_disk(folder_of(place));
                return state.wanted.path;
            }
            if (why == EEXIST) continue;  // it came at this very moment: judge it
            error = cannot_write(state.wanted.path, why);
        }
        if (!other_place || others == most_other_places) return *error;
        state.wanted.path = other_place(++others);
    }
}

}  // namespace tattletone::base
