#include "command/unit_clips.h"

#include <algorithm>

#include "board/sheet/nearest.h"
#include "command/arguments/board_file.h"
#include "command/terminal/console.h"

namespace tattletone::command {
namespace {

constexpr double lowest_hz = 1.0, highest_hz = 1e10;  // as in the board sheet

void repeatable(Options& options, const std::string& name, std::vector<std::string>& values, const std::string& help,
                const std::string& type) {
    options.app.add_option(name, values, help)->type_name(type)->repeatable();
}

struct Statement {
    tones::Change change;
    std::string file;  ///< empty: the only recording
};

/// "lamp.dimming=4297:FILE" or "ranger:FILE", each also without ":FILE". Ids hold no colon, paths
/// may.
std::optional<Statement> split_statement(const Options& options, const std::string& text, bool is_off) {
    Statement statement;
    const std::size_t colon = text.find(':');
    std::string what = text.substr(0, colon);
    const bool has_file = colon != std::string::npos;
    if (has_file) statement.file = text.substr(colon + 1);
    const std::size_t equals = what.find('=');
    const bool has_value = equals != std::string::npos;
    const char* option = is_off ? "--off" : "--changed";
    if (has_value == is_off || what.empty() || equals == 0 || (has_file && statement.file.empty())) {
        options.wrong_usage(option, "'" + text + "' is not " + (is_off ? "PART:FILE" : "RATE=HZ:FILE"),
                            is_off ? "Write, for instance, --off ranger:quiet.flac"
                                   : "Write, for instance, --changed lamp.dimming=4297:moved.flac");
        return std::nullopt;
    }
    if (has_value) {
        const auto hz = options.number(option, what.substr(equals + 1), lowest_hz, highest_hz);
        if (!hz) return std::nullopt;
        statement.change.hz = *hz;
        what.resize(equals);
    }
    statement.change.what = what;
    return statement;
}

/// A file is one recording, however often it is named.
tones::Take& take_of(std::vector<tones::Take>& takes, const std::string& path) {
    const auto known =
        std::find_if(takes.begin(), takes.end(), [&](const tones::Take& take) { return take.path == path; });
    if (known != takes.end()) return *known;
    takes.emplace_back();
    takes.back().path = path;
    return takes.back();
}

bool say_once(const Options& options, const std::string& option, const std::string& path, std::string& said,
              const std::string& name) {
    if (!said.empty() && !name.empty() && said != name) {
        options.wrong_usage(option, path + " is given as '" + said + "' and as '" + name + "'",
                            "A recording is of one only: keep one of the two");
        return false;
    }
    if (!name.empty()) said = name;
    return true;
}

bool add_change(const Options& options, ListedClips& listed, const std::string& text, bool is_off) {
    auto statement = split_statement(options, text, is_off);
    if (!statement) return false;
    std::vector<tones::Take>& takes = listed.takes;
    const bool of_live = listed.live && statement->file.empty();
    if (statement->file.empty() && !of_live) {
        if (takes.size() != 1) {
            options.wrong_usage(is_off ? "--off" : "--changed", "'" + text + "' does not say in which recording",
                                "Write :FILE behind it");
            return false;
        }
        statement->file = takes[0].path;
    }
    tones::Take& take = of_live ? *listed.live : take_of(takes, statement->file);
    for (const tones::Change& change : take.changes) {
        if (change.what != statement->change.what) continue;
        options.wrong_usage(is_off ? "--off" : "--changed", "'" + change.what + "' is changed twice in " + take.path,
                            "A recording has one setting of a rate: keep one of the two");
        return false;
    }
    take.changes.push_back(statement->change);
    return true;
}

bool tell_unknown(const board::BoardSheet& sheet, const std::string& what, const std::string& kind,
                  const std::vector<std::string>& known) {
    const std::string nearest = board::nearest_word(what, known);
    std::string list;
    for (const std::string& name : known) list += (list.empty() ? "'" : ", '") + name + "'";
    tell({sheet.path, "there is no " + kind + " '" + what + "' in this board sheet",
          !nearest.empty() ? "Did you mean '" + nearest + "'?" : "It has " + list});
    return false;
}

bool change_fits(const board::BoardSheet& sheet, const tones::Change& change) {
    std::vector<std::string> rates, both;
    for (const board::Part& part : sheet.parts) both.push_back(part.id);
    for (const board::Rate& rate : sheet.rates) {
        rates.push_back(rate.full_name);
        both.push_back(rate.full_name);
        if (rate.full_name != change.what || change.hz <= 0.0 || !rate.wanders()) continue;
        tell({"--changed", "'" + rate.full_name + "' wanders with its load and has no value to set",
              "Change its load and give the recordings as two states"});
        return false;
    }
    const auto& known = change.hz > 0.0 ? rates : both;
    if (std::find(known.begin(), known.end(), change.what) != known.end()) return true;
    return tell_unknown(sheet, change.what, change.hz > 0.0 ? "rate" : "part or rate", known);
}

/// What was said of the far recordings, which are no takes.
bool take_out_far(const Options& options, const ClipOptions& chosen, ListedClips& listed) {
    for (const std::string& path : chosen.far) {
        const auto is_it = [&](const tones::Take& take) { return take.path == path; };
        if (std::any_of(listed.far.begin(), listed.far.end(), is_it)) continue;
        listed.far.emplace_back();
        listed.far.back().path = path;
        const auto known = std::find_if(listed.takes.begin(), listed.takes.end(), is_it);
        if (known == listed.takes.end()) continue;
        const bool named = std::find(chosen.files.begin(), chosen.files.end(), path) != chosen.files.end();
        if (named || !known->spot.empty() || !known->changes.empty()) {
            options.wrong_usage("--far", path + " is given as a recording near the board too",
                                "Of a far recording only the --state is said: keep one of the two");
            return false;
        }
        listed.far.back().state = known->state;
        listed.takes.erase(known);
    }
    return true;
}

}  // namespace

void declare_clips(Options& options, ClipOptions& chosen) {
    OptionTable& app = options.app;
    app.add_option("FILE", chosen.files,
                   chosen.live ? "earlier recordings of this unit, beside what is heard now"
                               : "recordings of one unit; - is standard input")
        ->type_name("");
    app.add_option("--room", chosen.room, "the same place with the board unpowered")->type_name("FILE");
    repeatable(options, "--far", chosen.far,
               "the same state with the microphone 60 cm from the board instead of 3 cm; repeatable", "FILE");
    const std::string or_now = chosen.live ? "; without FILE: of what is heard now" : "";
    repeatable(options, "--state", chosen.states, "made in this state of the board; repeatable" + or_now,
               chosen.live ? "NAME[=FILE]" : "NAME=FILE");
    repeatable(options, "--spot", chosen.spots, "made over this place of the board; repeatable" + or_now,
               chosen.live ? "NAME[=FILE]" : "NAME=FILE");
    repeatable(options, "--changed", chosen.changed,
               chosen.live
                   ? "made with this rate set to HZ; repeatable" + or_now
                   : "made with this rate set to HZ; FILE is one of the recordings or a further one, and may be "
                     "left out where there is one only; repeatable",
               chosen.live ? "RATE=HZ[:FILE]" : "RATE=HZ:FILE");
    repeatable(options, "--off", chosen.off, "made with this part, or one rate of it, stopped; repeatable" + or_now,
               chosen.live ? "PART[:FILE]" : "PART:FILE");
}

bool ListedClips::take_stdin() const {
    const auto from_stdin = [](const tones::Take& take) { return take.path == "-"; };
    return room == "-" || std::any_of(takes.begin(), takes.end(), from_stdin) ||
           std::any_of(far.begin(), far.end(), from_stdin);
}

std::optional<ListedClips> list_clips(const Options& options, const ClipOptions& chosen) {
    ListedClips listed;
    listed.room = chosen.room;
    if (chosen.live) listed.live.emplace().path = "what is heard now";
    std::vector<tones::Take>& takes = listed.takes;
    const auto add = [&](const std::string& path, const std::string& state, const std::string& spot) {
        tones::Take& take = take_of(takes, path);
        return say_once(options, "--state", path, take.state, state) &&
               say_once(options, "--spot", path, take.spot, spot);
    };
    for (const std::string& file : chosen.files) add(file, "", "");
    for (const bool is_state : {true, false}) {
        for (const std::string& text : is_state ? chosen.states : chosen.spots) {
            const auto named = split_name_and_file(text);
            if (listed.live && !text.empty() && text.find('=') == std::string::npos) {
                tones::Take& live = *listed.live;
                if (!say_once(options, is_state ? "--state" : "--spot", live.path, is_state ? live.state : live.spot,
                              text))
                    return std::nullopt;
                continue;
            }
            if (!named) {
                options.wrong_usage(is_state ? "--state" : "--spot", "'" + text + "' is not NAME=FILE",
                                    is_state ? "Write, for instance, --state idle=idle.flac"
                                             : "Write, for instance, --spot coil=coil.flac");
                return std::nullopt;
            }
            const bool fits = is_state ? add(named->second, named->first, "") : add(named->second, "", named->first);
            if (!fits) return std::nullopt;
        }
    }
    for (const bool is_off : {false, true})
        for (const std::string& text : is_off ? chosen.off : chosen.changed)
            if (!add_change(options, listed, text, is_off)) return std::nullopt;
    if (!take_out_far(options, chosen, listed)) return std::nullopt;
    if (takes.empty() && !listed.live) {
        options.wrong_usage("", listed.far.empty() ? "no recording is given" : "no recording near the board is given",
                            "Name one or more sound files");
        return std::nullopt;
    }
    std::ptrdiff_t from_stdin = chosen.room == "-";
    for (const std::vector<tones::Take>* list : {&takes, &listed.far})
        for (const tones::Take& take : *list) {
            from_stdin += take.path == "-";
            if (!take.path.empty()) continue;
            options.wrong_usage("", "a file name is empty", "Name one or more sound files");
            return std::nullopt;
        }
    if (from_stdin > 1) {
        options.wrong_usage("", "standard input cannot be read twice", "Give - for one recording only");
        return std::nullopt;
    }
    return listed;
}

bool fits_sheet(const ListedClips& clips, const board::BoardSheet* sheet) {
    for (const tones::Take& take : clips.far)
        if (sheet != nullptr && !find_state(*sheet, take.state)) return false;
    std::vector<const tones::Take*> near;
    for (const tones::Take& take : clips.takes) near.push_back(&take);
    if (clips.live) near.push_back(&*clips.live);
    for (const tones::Take* const near_take : near) {
        const tones::Take& take = *near_take;
        if (sheet == nullptr && !take.changes.empty()) {
            tell({take.path, "without a board sheet nobody knows '" + take.changes[0].what + "'",
                  "Give the sheet with --board"});
            return false;
        }
        if (sheet == nullptr) continue;
        if (!find_state(*sheet, take.state)) return false;
        for (const tones::Change& change : take.changes)
            if (!change_fits(*sheet, change)) return false;
    }
    return true;
}

}  // namespace tattletone::command
