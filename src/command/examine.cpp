#include <algorithm>
#include <vector>

#include "command/board_file.h"
#include "command/clip_tones.h"
#include "command/console.h"
#include "command/hearing_wish.h"
#include "command/log_wish.h"
#include "command/options.h"
#include "command/progress.h"
#include "command/whole_file.h"
#include "report/json.h"
#include "report/json_writer.h"
#include "report/mechanism.h"
#include "report/page.h"
#include "report/text.h"

namespace tattletone {
namespace {

struct Wanted {
    std::vector<std::string> files, states, spots;
    std::string board, room, report;
    bool json = false, fail_if_heard = false;
    HearingOptions hearing;
    LogWish log;
};

struct Clip {
    Take take;
    std::optional<ClipReader> reader;
};

void declare(Options& options, Wanted& wanted) {
    CLI::App& app = options.app;
    app.add_option("FILE", wanted.files, "recordings of one unit; - is standard input")
        ->type_name("");
    app.add_option("--board", wanted.board, "the board sheet")->type_name("SHEET");
    app.add_option("--room", wanted.room, "the same place with the board unpowered")
        ->type_name("FILE");
    app.add_option("--state", wanted.states, "made in this state of the board; repeatable")
        ->type_name("NAME=FILE")
        ->expected(1)
        ->take_all()
        ->allow_extra_args(false);
    app.add_option("--spot", wanted.spots, "made over this place of the board; repeatable")
        ->type_name("NAME=FILE")
        ->expected(1)
        ->take_all()
        ->allow_extra_args(false);
    options.flag("--json", wanted.json, "the findings as one line of JSON");
    app.add_option("--report", wanted.report, "also write the findings as a page")
        ->type_name("FILE.html");
    options.flag("--fail-if-heard", wanted.fail_if_heard,
                 "exit status 3 when a prominent board tone is there");
    declare_hearing(options, wanted.hearing);
    declare_log_wish(options, wanted.log);
}

// The recordings in the order in which the answer numbers them, or nothing when wrong usage was
// told.
std::optional<std::vector<Clip>> list_clips(const Options& options, const Wanted& wanted) {
    std::vector<Clip> clips;
    const auto add = [&](const std::string& path, const std::string& state,
                         const std::string& spot) {
        Clip clip;
        clip.take.path = path;
        clip.take.state = state;
        clip.take.spot = spot;
        clips.push_back(std::move(clip));
    };
    for (const std::string& file : wanted.files) add(file, "", "");
    for (const bool is_state : {true, false}) {
        for (const std::string& text : is_state ? wanted.states : wanted.spots) {
            const auto named = split_name_and_file(text);
            if (!named) {
                options.wrong_usage(is_state ? "--state" : "--spot",
                                    "'" + text + "' is not NAME=FILE",
                                    is_state ? "Write, for instance, --state idle=idle.flac"
                                             : "Write, for instance, --spot coil=coil.flac");
                return std::nullopt;
            }
            is_state ? add(named->second, named->first, "") : add(named->second, "", named->first);
        }
    }
    if (clips.empty()) {
        options.wrong_usage("", "no recording is given", "Name one or more sound files");
        return std::nullopt;
    }
    for (const Clip& clip : clips) {
        if (!clip.take.path.empty()) continue;
        options.wrong_usage("", "a file name is empty", "Name one or more sound files");
        return std::nullopt;
    }
    const auto from_stdin =
        std::count_if(clips.begin(), clips.end(), [](const Clip& c) { return c.take.path == "-"; });
    if (from_stdin + (wanted.room == "-") > 1) {
        options.wrong_usage("", "standard input cannot be read twice",
                            "Give - for one recording only");
        return std::nullopt;
    }
    return clips;
}

// Opens every recording before the first is analysed, so that all that is wrong is told at once.
bool open_all(std::vector<Clip>& clips) {
    bool opened = true;
    for (Clip& clip : clips) {
        auto reader = ClipReader::open(clip.take.path);
        if (reader) {
            clip.reader.emplace(std::move(*reader));
        } else {
            tell(reader.error());
            opened = false;
        }
    }
    return opened;
}

bool analyse(Clip& clip, Progress& progress) {
    const ClipInfo info = clip.reader->info();
    auto tones = tones_of_clip(
        *clip.reader, [&](double seconds) { progress.show(info.origin, seconds, info.seconds); });
    clip.reader.reset();
    if (!tones) {
        tell(tones.error());
        return false;
    }
    clip.take.found = std::move(*tones);
    return true;
}

std::string terminal_answer(const Findings& findings, const BoardSheet* sheet, const HearingWish& hearing,
                            bool room_given) {
    const Terminal terminal = terminal_of(Stream::out);
    TextStyle style;
    style.columns = std::min(terminal.columns, 80);
    style.bold = terminal.bold;
    style.room_given = room_given;
    if (sheet != nullptr) style.more = cause_text(findings, *sheet, style.columns, style.bold);
    style.more += hearing_text(findings, hearing, style.columns, style.bold);
    return findings_text(findings, style);
}

bool heard_prominently(const Findings& findings) {
    return std::any_of(
        findings.unit.tones.begin(), findings.unit.tones.end(), [](const UnitTone& tone) {
            return tone.tone.origin == Origin::board && tone.tone.prominent.value_or(false);
        });
}

}  // namespace

int run_examine(const Arguments& arguments) {
    Wanted wanted;
    Options options(
        "examine",
        "The whole diagnosis of recordings of one unit: the tones in them, where these\n"
        "come from, and which of the declared rates is singing.",
        "  tattletone examine take.flac --board heron.toml\n"
        "  tattletone examine --board heron.toml --room room.flac \\\n"
        "      --state idle=idle.flac --state ranging=ranging.flac --report heron.html\n"
        "  tattletone examine take.flac --board heron.toml --calibration 94=cal.wav --hearing 55\n"
        "  tattletone examine take.flac --log --unit 7 --microphone laptop --distance-cm 3");
    declare(options, wanted);
    if (const auto status = options.parse(arguments)) return *status;
    auto clips = list_clips(options, wanted);
    if (!clips) return exit_usage;

    int status = exit_done;
    const auto hearing = read_hearing(options, wanted.hearing, status);
    if (!hearing) return status;
    auto bench = open_bench(options, wanted.log, wanted.board, status);
    if (!bench) return status;
    const BoardSheet* const sheet = bench->board ? &bench->board->sheet : nullptr;
    for (const Clip& clip : *clips) {
        if (sheet != nullptr && !clip.take.state.empty() && !find_state(*sheet, clip.take.state))
            return exit_failed;
        if (wanted.log.log && clip.take.path == "-" && wanted.log.keep == "yes")
            return options.wrong_usage("--log", "standard input cannot be read again to keep it",
                                       "Give a file, or --keep no");
    }
    const bool room_given = !wanted.room.empty();
    if (room_given) {
        clips->emplace_back();
        clips->back().take.path = wanted.room;
    }
    if (!open_all(*clips)) return exit_failed;

    {
        Progress progress;
        for (Clip& clip : *clips)
            if (!analyse(clip, progress)) return exit_failed;
    }
    std::vector<Take> takes;
    for (Clip& clip : *clips) takes.push_back(std::move(clip.take));
    std::optional<Tones> room;
    if (room_given) {
        room = std::move(takes.back().found);
        takes.pop_back();
        for (const std::string& notice : room->notices)
            tell_note("tattletone: " + wanted.room + ": " + notice);
    }
    const Confirmed* const confirmed = bench->confirmed ? &*bench->confirmed : nullptr;
    const Findings findings =
        diagnose_here(sheet, unite(std::move(takes), room ? &*room : nullptr), confirmed);
    std::string json = findings_json(findings);
    if (sheet != nullptr) {
        json = with_key(json, "supply", supplies_json(findings, *sheet));
        json = with_key(json, "causes", causes_json(findings, *sheet));
    }
    json = with_key(json, "hearing", hearing_json(findings, *hearing));
    if (confirmed != nullptr && !confirmed->opinions.empty()) json = with_confirmed(json, *confirmed);

    if (!wanted.report.empty()) {
        const std::string page = findings_page(findings, sheet, room_given, *hearing);
        if (const auto error = write_whole_file(wanted.report, page)) {
            tell(*error);
            return exit_failed;
        }
    }
    std::string answer = json + '\n';
    if (!wanted.json) {
        answer = terminal_answer(findings, sheet, *hearing, room_given);
        if (confirmed != nullptr)
            answer += confirmed_text(*confirmed, findings, std::min(terminal_of(Stream::out).columns, 80));
    }
    if (!print(answer)) return exit_failed;
    if (wanted.log.log) {
        std::vector<TakeToStore> kept;
        for (const Take& take : findings.unit.takes) kept.push_back({take.path, false, &take.found});
        if (room) kept.push_back({wanted.room, true, &*room});
        if (!log_examination(*bench, wanted.log, findings, json, kept)) return exit_failed;
    }
    return wanted.fail_if_heard && heard_prominently(findings) ? exit_heard : exit_done;
}

}  // namespace tattletone
