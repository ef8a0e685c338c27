#pragma once

#include <array>

#include "base/text/word_table.h"

namespace tattletone::board {

enum class LineKind { harmonic, subharmonic, sideband, image, beat };

/// What a second rate has to do with a line.
enum class Partner {
    none,
    modulates,  ///< it stands beside a harmonic, and counts only where that is heard
    equal       ///< either rate may be taken for the one that makes it
};

/// A text in which names in braces stand for what `match::line_text` knows of a line.
struct LineText {
    const char* any = nullptr;
    const char* first = nullptr;  ///< for order 1, where that is said otherwise
};

/// All that there is to know of a kind of line, but where its lines stand (lines.cpp) and how likely they are
/// (match/model/source.cpp). Only kinds with a `heading` are listed by `predict` behind the harmonics.
struct LineKindRow {
    LineKind value;
    const char* word;               ///< in JSON and logbooks, which live long: never change one
    LineText name;                  ///< "image of the {nth} harmonic of {rate}"
    LineText in_reasons;            ///< where the rate is spoken of already: "the image of the {nth} harmonic"
    const char* heading = nullptr;  ///< "beats"
    LineText listed = {};           ///< under the heading, before the frequency: "with {other}"
    bool long_list = false;         ///< only counted without --all
    Partner partner = Partner::none;
    bool folds = false;              ///< stands where the recorder's sampling puts it
    bool counts_up = false;          ///< its order is that of a harmonic: what begins late in the series is rare
    double widest_smear_hz = 100.0;  ///< where the partner's tolerance smears it over more, it says nothing
};

inline constexpr auto line_kinds = std::to_array<LineKindRow>({
    {.value = LineKind::harmonic,
     .word = "harmonic",
     .name = {"{nth} harmonic of {rate}", "fundamental of {rate}"},
     .in_reasons = {"the {nth} harmonic", "the rate itself"},
     .counts_up = true},
    {.value = LineKind::subharmonic,
     .word = "subharmonic",
     .name = {"{n}/2 of {rate}"},
     .in_reasons = {"{n}/2 of the rate", "half the rate"},
     .heading = "halves",
     .listed = {"{n}/2"}},
    {.value = LineKind::sideband,
     .word = "sideband",
     .name = {"sideband {+n} of {rate} by {other}"},
     .in_reasons = {"the {side} sideband of the {carrier-th} harmonic by {other}"},
     .heading = "sidebands",
     .listed = {"{carrier} × {rate} {sign} {size} × {other}"},
     .long_list = true,
     .partner = Partner::modulates,
     .widest_smear_hz = 2.0},
    {.value = LineKind::image,
     .word = "image",
     .name = {"image of the {nth} harmonic of {rate}"},
     .in_reasons = {"the image of the {nth} harmonic in the recorder"},
     .folds = true,
     .counts_up = true},
    {.value = LineKind::beat,
     .word = "beat",
     .name = {"beat of {rate} and {other}"},
     .in_reasons = {"the beat with {other}"},
     .heading = "beats",
     .listed = {"with {other}"},
     .partner = Partner::equal},
});
static_assert(base::in_order(line_kinds));

constexpr const LineKindRow& about(LineKind kind) {
    return base::row_of(line_kinds, kind);
}

}  // namespace tattletone::board
