#pragma once

#include <vector>

#include "toggle/trial/search.h"

namespace tattletone::toggle {

/// Where nothing can be heard: gaps that the clip tells of, and stretches that are as good as silent.
std::vector<Span> lost_spans(const sound::Recording& recording);

/// The same place, between those that the search tries: by this column and this line alone.
Alignment refined(const Recorded& recorded, const LineLevels& line, const Column& column, const Match& match);

/// The windows in which the plan ran: all, or one pass of it or its beginning on, where what is outside does not
/// follow this column.
std::vector<StepWindow> running_windows(const Recorded& recorded, const LineLevels& line, const Column& column,
                                        const Alignment& alignment);

/// The plan's beginning that lies in the recording or nearest before it.
double told_start(const Recorded& recorded, const std::vector<StepWindow>& windows, const Alignment& alignment);

}  // namespace tattletone::toggle
