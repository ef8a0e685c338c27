#include "logbook/storage/clip_store.h"

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <set>

#include "base/files/paths.h"
#include "logbook/storage/passing_files.h"
#include "logbook/storage/sha256.h"
#include "sound/clip/clip_reader.h"
#include "sound/clip/clip_writer.h"

namespace tattletone::logbook {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t piece = 65536;

std::optional<Error> make_folder(const std::string& path) {
    std::error_code problem;
    if (fs::is_directory(base::path_of(path), problem)) return std::nullopt;
    fs::create_directory(base::path_of(path), problem);
    if (fs::is_directory(base::path_of(path))) return std::nullopt;
    return Error{path, "the folder for recordings cannot be made",
                 "Check that you may write beside the logbook and that there is room"};
}

// A file that goes away unless it was renamed.
struct Incoming {
    std::string path;
    ~Incoming() {
        std::error_code ignored;
        fs::remove(base::path_of(path), ignored);
    }
};

Result<StoredClip> copy_as_flac(const std::string& from, const std::string& to) {
    auto reader = sound::ClipReader::open(from);
    if (!reader) return reader.error();
    StoredClip clip;
    clip.sample_rate_hz = reader->info().sample_rate_hz;
    auto writer =
        sound::ClipWriter::create({base::OutputKind::own_file, to}, clip.sample_rate_hz, sound::ClipFormat::flac_24);
    if (!writer) return writer.error();
    std::vector<float> samples(piece);
    double total = 0.0;
    for (;;) {
        const auto count = reader->read(samples);
        if (!count) return count.error();
        if (*count == 0) break;
        if (auto error = writer->write(std::span<const float>(samples.data(), *count))) return *error;
        total += static_cast<double>(*count);
    }
    if (const auto placed = writer->finish(); !placed) return placed.error();
    clip.seconds = total / clip.sample_rate_hz;
    clip.gaps = reader->gaps();
    return clip;
}

}  // namespace

Result<ClipGuard> ClipGuard::take(const Logbook& logbook, Purpose purpose) {
    return take(logbook.path(), purpose);
}

Result<ClipGuard> ClipGuard::take(const std::string& logbook_path, Purpose purpose) {
    const std::string folder = logbook_path + ".clips", file = folder + "/lock";
    if (auto error = make_folder(folder)) return *error;
    if (purpose == Purpose::storing)
        if (const auto alone = FileLock::take(file, FileLock::Kind::exclusive, 0.0)) remove_passing_files(logbook_path);
    auto lock =
        FileLock::take(file, purpose == Purpose::storing ? FileLock::Kind::shared : FileLock::Kind::exclusive, 30.0);
    if (!lock)
        return Error{folder, "another program is at work on the recordings and did not finish in time",
                     "Wait for it to end, check that you may write there, and do it again"};
    if (purpose == Purpose::removing) remove_passing_files(logbook_path);
    return ClipGuard(std::move(*lock));
}

bool is_clip_hash(std::string_view text) {
    return text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

std::string clip_path(const Logbook& logbook, const std::string& hash) {
    return clip_path(logbook.clips_folder(), hash);
}

std::string clip_path(const std::string& clips_folder, const std::string& hash) {
    if (!is_clip_hash(hash)) return {};
    return clips_folder + "/" + hash.substr(0, 2) + "/" + hash + ".flac";
}

Result<std::string> hash_of_sound(const std::string& path) {
    auto reader = sound::ClipReader::open(path);
    if (!reader) return reader.error();
    Sha256 hash;
    hash.add("tattletone clip 1 " + std::to_string(std::lround(reader->info().sample_rate_hz)) + "\n");
    std::vector<float> samples(piece);
    std::string bytes;
    for (;;) {
        const auto count = reader->read(samples);
        if (!count) return count.error();
        if (*count == 0) return hash.finish();
        bytes.clear();
        for (std::size_t i = 0; i < *count; ++i) {
            const auto value =
                static_cast<std::uint32_t>(static_cast<std::int32_t>(std::lround(std::ldexp(double{samples[i]}, 23))));
            for (int shift = 0; shift < 32; shift += 8) bytes += static_cast<char>(value >> shift & 255u);
        }
        hash.add(bytes);
    }
}

Result<StoredClip> place_clip(const Logbook& logbook, const std::string& path) {
    const std::string folder = logbook.clips_folder();
    if (auto error = make_folder(folder)) return *error;
    const Incoming incoming{incoming_clip_path(folder)};
    auto clip = copy_as_flac(path, incoming.path);
    if (!clip) return clip.error();
    const Error unsafe{folder, "a recording could not be brought safely to the disk",
                       "Check the disk and do it again; nothing was stored"};
    if (!flush_to_disk(incoming.path)) return unsafe;
    auto hash = hash_of_sound(incoming.path);
    if (!hash) return hash.error();
    clip->hash = *hash;
    const std::string final_path = clip_path(logbook, *hash);
    const std::string its_folder = final_path.substr(0, final_path.rfind('/'));
    if (auto error = make_folder(its_folder)) return *error;
    std::error_code problem;
    clip->bytes = static_cast<long long>(fs::file_size(base::path_of(incoming.path), problem));
    fs::rename(base::path_of(incoming.path), base::path_of(final_path), problem);
    if (problem || !flush_to_disk(its_folder) || !flush_to_disk(folder)) return unsafe;
    return clip;
}

void record_clip(Database& database, const StoredClip& clip) {
    database.run("INSERT INTO clip VALUES (?, ?, ?, ?) ON CONFLICT (hash) DO NOTHING", clip.hash, clip.sample_rate_hz,
                 clip.seconds, std::int64_t{clip.bytes});
}

Result<int> remove_unneeded_clips(Logbook& logbook) {
    Database& database = logbook.database();
    database.run(
        "DELETE FROM clip WHERE NOT EXISTS (SELECT 1 FROM take WHERE take.clip = clip.hash) "
        "AND NOT EXISTS (SELECT 1 FROM complaint WHERE complaint.clip = clip.hash)");
    std::set<std::string> needed;
    for (auto row = database.query("SELECT hash FROM clip"); row.step();) needed.insert(row.text(0));
    if (database.failed()) return database.take_error();
    int removed = 0;
    std::error_code problem;
    const fs::path folder = base::path_of(logbook.clips_folder());
    std::vector<fs::path> unneeded;
    for (fs::recursive_directory_iterator entry(folder, problem), end; !problem && entry != end;
         entry.increment(problem)) {
        if (!entry->is_regular_file(problem) || entry->path().filename() == "lock") continue;
        if (entry->path().extension() == ".flac" && needed.count(entry->path().stem().string()) != 0) continue;
        unneeded.push_back(entry->path());
    }
    for (const fs::path& path : unneeded) {
        if (fs::remove(path, problem) && !problem) {
            ++removed;
            continue;
        }
        return Error{base::utf8_of(path), "it could not be taken away",
                     "Check that you may write there and do it again"};
    }
    return removed;
}

}  // namespace tattletone::logbook
