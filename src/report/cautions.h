#pragma once

namespace tattletone::report {

/// Shown by the window before the first board and by every page; the README and 'tattletone help cautions' have the
/// same (tests/command/help_test.py compares).
inline constexpr const char* cautions[] = {
    "Only low-voltage boards (battery, USB, SELV) belong on the bench for this. Never reach into equipment with mains "
    "voltage or charged capacitors for the sake of a microphone position: leave that to people licensed for it, and to "
    "local codes.",
    "The ground clip of an oscilloscope's probe is the mains' earth: clip it to a board that floats (battery, isolated "
    "supply) only.",
    "Nobody's ear belongs at the board, a tester's neither: the microphone goes there. Do not turn up the playback of "
    "a "
    "recorded whine, in headphones least of all.",
    "Parts can be hot. A rate that is moved, or a load that is added, may saturate an inductor or overheat a part: "
    "small "
    "steps, within the ratings.",
    "A probability is a lead to check, not a proof.",
};

}  // namespace tattletone::report
