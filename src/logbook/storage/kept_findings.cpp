#include "logbook/storage/kept_findings.h"

#include "match/json/findings_of_json.h"

namespace tattletone::logbook {

Result<match::Findings> findings_of(Logbook& logbook, const std::string& json,
                                    const std::vector<std::vector<tones::FloorPoint>>& floors) {
    return findings_of(logbook.database(), json, floors);
}

Result<match::Findings> findings_of(Database& database, const std::string& json,
                                    const std::vector<std::vector<tones::FloorPoint>>& floors) {
    auto findings = match::findings_of_json(json);
    if (!findings) {
        std::string why = to_sentence(findings.error());
        why.pop_back();
        return Error{database.path(), "the stored findings cannot be read: " + why,
                     "Run 'tattletone logbook check'; a newer tattletone may know more words, and a backup may have "
                     "them whole"};
    }
    for (std::size_t i = 0; i < findings->unit.takes.size() && i < floors.size(); ++i)
        findings->unit.takes[i].found.floor = floors[i];
    // A page of kept findings tells what was found, not the plan of that day.
    findings->outcomes.clear();
    findings->next.clear();
    findings->spots.clear();
    findings->card_error_from.clear();
    for (match::Suspect& suspect : findings->suspects) suspect.outside_tolerance = false;
    for (tones::UnitTone& tone : findings->unit.tones) tone.tone.drift_hz = tone.tone.drift_hz_sd = 0.0;
    return findings;
}

}  // namespace tattletone::logbook
