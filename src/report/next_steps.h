#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "match/findings.h"

namespace tattletone::report {

/// Something to do next.
struct NextStep {
    std::string todo;    ///< "Record the room with the board off, 5 s"
    std::string option;  ///< how its recording is given to a command, "--room FILE"; empty: not at all
    std::string why;     ///< sentences: what each suspect predicts, a caution; may be empty
};

/// At most four, in the order in which they are worth doing. Never empty.
std::vector<NextStep> next_steps(const match::Findings& findings);

/// The first of them in sentences.
std::string next_step(const match::Findings& findings);

/// Every take begins its notice of that kind ("silence:", "too short:"): where no take could have shown a tone, 'none
/// was found' would be no answer.
bool every_take_says(const match::Findings& findings, std::string_view beginning);

/// Silence or too short, all of it: no unit may pass by that.
bool tells_nothing(const match::Findings& findings);

}  // namespace tattletone::report
