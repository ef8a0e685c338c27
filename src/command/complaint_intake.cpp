#include "command/complaint_intake.h"

#include <cerrno>
#include <exception>
#include <filesystem>
#include <fstream>

#include "base/files/paths.h"
#include "command/arguments/folders.h"
#include "command/clip_tones.h"
#include "command/inbox.h"
#include "command/terminal/console.h"
#include "command/terminal/progress.h"
#include "logbook/storage/sha256.h"
#include "logbook/storage/system_file.h"
#include "match/json/findings_json.h"
#include "report/words.h"
#include "sound/clip/clip_errors.h"
#include "sound/clip/memory_guard.h"
#include "tones/judge/speech.h"

namespace tattletone::command {

namespace fs = std::filesystem;

Result<std::string> hash_of_file(const std::string& path) {
    errno = 0;
    std::ifstream file(base::path_of(path), std::ios::binary);
    if (!file) return sound::clip_errors::cannot_open(path, errno);
    logbook::Sha256 hash;
    std::string piece(1 << 16, '\0');
    while (file.read(piece.data(), static_cast<std::streamsize>(piece.size())) || file.gcount() > 0)
        hash.add(std::string_view(piece.data(), static_cast<std::size_t>(file.gcount())));
    if (file.bad()) return sound::clip_errors::unreadable(path);
    return hash.finish();
}

namespace {

constexpr int most_storing_failures = 3;  // in a row: the logbook's trouble, not the clips'

Result<logbook::Complaint> examine_and_store(logbook::Logbook& logbook, const std::string& path, const Intake& intake,
                                             bool& storing_failed) {
    const auto file_hash = hash_of_file(path);
    if (!file_hash) return file_hash.error();
    auto reader = sound::ClipReader::open(path);
    if (!reader) return reader.error();
    tones::SpeechMeter speech(reader->info().sample_rate_hz);
    auto tones = tones_of_clip(*reader, {}, [&](std::span<const float> samples) { speech.add(samples); });
    if (!tones) return tones.error();
    // Half a clip would be kept for good; the next run gets the whole one.
    if (reader->broke_off()) return sound::clip_errors::unreadable(path);
    std::optional<report::Confirmed> confirmed;
    if (intake.board != nullptr) {
        auto said = report::confirmed_on(logbook, intake.board->sheet.name);
        storing_failed = !said;
        if (!said) return said.error();
        confirmed = std::move(*said);
    }
    tones::Take take;
    take.path = path;
    take.found = std::move(*tones);
    std::vector<tones::Take> takes;
    takes.push_back(std::move(take));
    const match::Findings findings =
        report::diagnose_here(intake.board != nullptr ? &intake.board->sheet : nullptr,
                              tones::unite(std::move(takes), nullptr), confirmed ? &*confirmed : nullptr);
    const logbook::SortedComplaint sorted = logbook::sort_complaint(
        findings, confirmed ? confirmed->opinions : std::vector<logbook::Opinion>{},
        {reader->info().codec, reader->info().lossy, reader->kilobits_per_second(), speech.like_speech()});
    logbook::Complaint complaint;
    complaint.added_by = user_name();
    complaint.text = intake.text;
    complaint.unit = intake.unit_id;
    complaint.path = path;
    complaint.file_hash = *file_hash;
    complaint.usable_low_hz = findings.unit.takes[0].found.usable.low_hz;
    complaint.usable_high_hz = findings.unit.takes[0].found.usable.high_hz;
    complaint.kind = logbook::complaint_kind_words(sorted.kind);
    if (sorted.speech_only) complaint.kind += ": speech only";
    complaint.rate = sorted.rate;
    complaint.answer = report::answer_line(findings);
    complaint.reply = sorted.reply;
    complaint.findings_json = match::findings_json(findings);
    complaint.triage = intake.triage;
    complaint.floor = findings.unit.takes[0].found.floor;
    const auto id = logbook::store_complaint(logbook, complaint,
                                             intake.board != nullptr ? &intake.board->kept : nullptr, intake.keep_clip);
    storing_failed = !id;
    if (!id) return id.error();
    complaint.id = *id;
    return complaint;
}

}  // namespace

Result<logbook::Complaint> take_in(logbook::Logbook& logbook, const std::string& path, const Intake& intake,
                                   bool& storing_failed) {
    storing_failed = false;
    try {
        return sound::with_memory_for(path, [&] { return examine_and_store(logbook, path, intake, storing_failed); });
    } catch (const std::exception&) {  // it may cost this clip, and no other
        return Error{path, "something went wrong inside the program",
                     "Please report this with the clip; the next run tries it again", true};
    }
}

namespace {

enum class Outcome { taken, before, broken, known_broken, busy, later, storing_failed };

/// One file of the inbox; what is wrong was told.
Outcome work_on(logbook::Logbook& logbook, const std::string& path, const std::string& hash, const Intake& intake) {
    // Who holds this lock works on the clip; its death frees it.
    const std::string lock_path = logbook.path() + ".at-work-" + hash.substr(0, 16);
    const auto lock = logbook::FileLock::take(lock_path, logbook::FileLock::Kind::exclusive, 0.0);
    std::error_code problem;
    if (!lock && fs::exists(base::path_of(lock_path), problem)) return Outcome::busy;
    if (!lock) {
        tell({logbook.path(), "nothing can be written beside the logbook",
              "Check that you may write there and that there is room", true});
        return Outcome::storing_failed;
    }
    const auto outcome = [&] {
        const auto seen = or_tell(logbook::seen_by_triage(logbook, intake.triage, hash));
        if (!seen) return Outcome::storing_failed;
        if (*seen == logbook::SeenBefore::taken_in) return Outcome::before;
        if (*seen == logbook::SeenBefore::broken) return Outcome::known_broken;
        bool storing_failed = false;
        const auto done = take_in(logbook, path, intake, storing_failed);
        if (done) return Outcome::taken;
        tell(done.error());
        if (storing_failed) return Outcome::storing_failed;
        if (done.error().may_pass) return Outcome::later;
        const auto error =
            logbook::record_broken_clip(logbook, intake.triage, hash, path, base::to_sentence(done.error()));
        if (!error) return Outcome::broken;
        tell(*error);
        return Outcome::storing_failed;
    }();
    fs::remove(base::path_of(lock_path), problem);
    return outcome;
}

void work_through(logbook::Logbook& logbook, const std::vector<std::string>& paths, const Intake& intake,
                  InboxTally& tally) {
    Progress progress;
    int failures = 0;
    for (std::size_t i = 0; i < paths.size(); ++i) {
        progress.show("clips", static_cast<double>(i), static_cast<double>(paths.size()));
        const auto done = or_tell(sound::with_memory_for(paths[i], [&]() -> Result<Outcome> {
            const auto hash = hash_of_file(paths[i]);
            if (!hash) return hash.error();
            return work_on(logbook, paths[i], *hash, intake);
        }));
        const Outcome outcome = done.value_or(Outcome::later);
        tally.taken += outcome == Outcome::taken;
        tally.before += outcome == Outcome::before;
        tally.broken += outcome == Outcome::broken || outcome == Outcome::known_broken;
        tally.known_broken += outcome == Outcome::known_broken;
        tally.busy += outcome == Outcome::busy;
        tally.later += outcome == Outcome::later || outcome == Outcome::storing_failed;
        failures = outcome == Outcome::storing_failed ? failures + 1 : 0;
        if (failures < most_storing_failures) continue;
        tally.later += static_cast<int>(paths.size() - i - 1);
        return;
    }
}

}  // namespace

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
    const fs::path root = base::path_of(folder);
    if (!fs::is_directory(root, problem)) {
        tell({folder, "there is no such folder", "Give the folder that holds the clips"});
        return exit_failed;
    }
    std::optional<session::ReadSheet> sheet;
    if (!board.empty() && !(sheet = read_board(board))) return exit_failed;
    auto logbook = open_logbook(logbook_file, logbook::Logbook::Mode::create);
    if (!logbook) return exit_failed;
    const Inbox inbox = inbox_of(folder);
    Intake intake;
    intake.triage = base::utf8_of(fs::weakly_canonical(root, problem));
    intake.board = sheet ? &*sheet : nullptr;
    intake.keep_clip = keep == "yes";
    if (!or_tell(logbook::ClipGuard::take(*logbook, logbook::ClipGuard::Purpose::storing))) return exit_failed;
    for (const std::string& path : inbox.closed)
        tell(
            {path, "this folder cannot be looked into", "Change its permissions or check its disk, and do this again"});
    for (const std::string& path : inbox.others)
        tell({path, "this is no file but a link to a folder, a pipe or a device; it was passed over",
              "Put the recording itself into the folder"});
    InboxTally tally;
    tally.others = static_cast<int>(inbox.others.size());
    tally.closed = static_cast<int>(inbox.closed.size());
    work_through(*logbook, inbox.files, intake, tally);
    return print(tally.text()) && tally.whole() ? exit_done : exit_failed;
}

}  // namespace tattletone::command
