#include "command/complaint_intake.h"

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "command/clip_tones.h"
#include "command/console.h"
#include "command/folders.h"
#include "command/progress.h"
#include "logbook/sha256.h"
#include "logbook/system_file.h"
#include "report/json.h"
#include "report/words.h"
#include "tones/speech.h"

namespace tattletone {

namespace fs = std::filesystem;

Result<std::string> hash_of_file(const std::string& path) {
    std::ifstream file(fs::path(std::u8string(path.begin(), path.end())), std::ios::binary);
    if (!file) return Error{path, "it cannot be read", "Check the name and that you may read it"};
    Sha256 hash;
    std::string piece(1 << 16, '\0');
    while (file.read(piece.data(), static_cast<std::streamsize>(piece.size())) || file.gcount() > 0)
        hash.add(std::string_view(piece.data(), static_cast<std::size_t>(file.gcount())));
    return hash.finish();
}

Result<Complaint> take_in(Logbook& logbook, const std::string& path, const Intake& intake, bool& clip_broken) {
    clip_broken = true;
    const auto file_hash = hash_of_file(path);
    if (!file_hash) return file_hash.error();
    auto reader = ClipReader::open(path);
    if (!reader) return reader.error();
    SpeechMeter speech(reader->info().sample_rate_hz);
    auto tones = tones_of_clip(*reader, {}, [&](std::span<const float> samples) { speech.add(samples); });
    if (!tones) return tones.error();
    clip_broken = false;
    std::optional<Confirmed> confirmed;
    if (intake.board != nullptr) {
        auto said = confirmed_on(logbook, intake.board->sheet.name);
        if (!said) return said.error();
        confirmed = std::move(*said);
    }
    Take take;
    take.path = path;
    take.found = std::move(*tones);
    std::vector<Take> takes;
    takes.push_back(std::move(take));
    const Findings findings = diagnose_here(intake.board != nullptr ? &intake.board->sheet : nullptr,
                                            unite(std::move(takes), nullptr), confirmed ? &*confirmed : nullptr);
    const SortedComplaint sorted =
        sort_complaint(findings, confirmed ? confirmed->opinions : std::vector<Opinion>{},
                       {reader->info().codec, reader->info().lossy, reader->kilobits_per_second(),
                        speech.like_speech()});
    Complaint complaint;
    complaint.added_by = user_name();
    complaint.text = intake.text;
    complaint.unit = intake.unit_id;
    complaint.path = path;
    complaint.file_hash = *file_hash;
    complaint.usable_low_hz = findings.unit.takes[0].found.usable.low_hz;
    complaint.usable_high_hz = findings.unit.takes[0].found.usable.high_hz;
    complaint.kind = complaint_kind_words(sorted.kind);
    if (sorted.speech_only) complaint.kind += ": speech only";
    complaint.rate = sorted.rate;
    complaint.answer = answer_sentence(findings);
    complaint.reply = sorted.reply;
    complaint.findings_json = findings_json(findings);
    complaint.triage = intake.triage;
    complaint.floor = findings.unit.takes[0].found.floor;
    const auto id = store_complaint(logbook, complaint, intake.board != nullptr ? &intake.board->kept : nullptr,
                                    intake.keep_clip);
    if (!id) return id.error();
    complaint.id = *id;
    return complaint;
}

int triage(const Arguments& arguments) {
    std::string folder, board, keep = "yes", logbook_file;
    Options options("complaint triage",
                    "Takes in every clip of a folder. Run it again to go on where it stopped, and twice at once "
                    "to share the work; a clip that cannot be read is told and left aside.",
                    "  tattletone complaint triage inbox --board heron.toml");
    options.app.add_option("FOLDER", folder, "with clips, and folders of clips")->required()->type_name("");
    options.app.add_option("--board", board, "the board sheet")->type_name("SHEET");
    options.app.add_option("--keep", keep, "keep the clips, yes (usual) or no")->type_name("yes|no");
    declare_logbook(options, logbook_file);
    if (const auto status = options.parse(arguments)) return *status;
    if (keep != "yes" && keep != "no") return options.wrong_usage("--keep", "it is neither yes nor no", "");
    std::error_code problem;
    const fs::path root(std::u8string(folder.begin(), folder.end()));
    if (!fs::is_directory(root, problem)) {
        tell({folder, "there is no such folder", "Give the folder that holds the clips"});
        return exit_failed;
    }
    std::optional<ReadSheet> sheet;
    if (!board.empty() && !(sheet = read_board(board))) return exit_failed;
    auto logbook = open_logbook(logbook_file, Logbook::Mode::create);
    if (!logbook) return exit_failed;
    std::vector<std::string> paths;
    for (fs::recursive_directory_iterator entry(root, problem), end; !problem && entry != end;
         entry.increment(problem)) {
        if (!entry->is_regular_file(problem)) continue;
        const auto name = entry->path().u8string();
        paths.emplace_back(name.begin(), name.end());
    }
    std::sort(paths.begin(), paths.end());
    const auto whole = fs::weakly_canonical(root, problem).u8string();
    Intake intake;
    intake.triage = std::string(whole.begin(), whole.end());
    intake.board = sheet ? &*sheet : nullptr;
    intake.keep_clip = keep == "yes";
    if (!or_tell(ClipGuard::take(*logbook, ClipGuard::Purpose::storing))) return exit_failed;
    int taken = 0, before = 0, broken = 0, elsewhere = 0;
    Progress progress;
    for (std::size_t i = 0; i < paths.size(); ++i) {
        progress.show("clips", static_cast<double>(i), static_cast<double>(paths.size()));
        const auto hash = hash_of_file(paths[i]);
        // Who holds this lock works on the clip; its death frees it.
        const std::string lock_path =
            logbook->path() + ".at-work-" + (hash ? hash->substr(0, 16) : std::to_string(i));
        {
            const auto lock = FileLock::take(lock_path, FileLock::Kind::exclusive, 0.0);
            if (!lock) {
                ++elsewhere;
                continue;
            }
            const auto seen = or_tell(triage_has(*logbook, intake.triage, hash ? *hash : paths[i]));
            if (!seen) return exit_failed;
            bool clip_broken = false;
            if (*seen) {
                ++before;
            } else if (const auto done = take_in(*logbook, paths[i], intake, clip_broken)) {
                ++taken;
            } else {
                tell(done.error());
                if (!clip_broken) return exit_failed;
                ++broken;
                if (const auto error = record_broken_clip(*logbook, intake.triage, hash ? *hash : paths[i],
                                                          paths[i], to_sentence(done.error()))) {
                    tell(*error);
                    return exit_failed;
                }
            }
        }
        fs::remove(fs::path(std::u8string(lock_path.begin(), lock_path.end())), problem);
    }
    std::string text = std::to_string(taken) + " of " + std::to_string(paths.size()) + " clips taken in";
    if (before > 0) text += ", " + std::to_string(before) + " were there before";
    if (broken > 0) text += ", " + std::to_string(broken) + " cannot be read";
    if (elsewhere > 0) text += ", " + std::to_string(elsewhere) + " are with another process";
    return print_line(text + ".") ? exit_done : exit_failed;
}

}  // namespace tattletone
