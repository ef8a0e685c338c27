#pragma once

#include <string>
#include <vector>

#include "logbook/storage/clip_store.h"
#include "logbook/units/measurements.h"
#include "logbook/units/opinions.h"

namespace tattletone::logbook {

/// The five kinds into which complaints are sorted.
enum class ComplaintKind { known_cause, new_tone, undeclared_tone, not_the_board, cannot_tell };
const char* complaint_kind_words(ComplaintKind kind);

/// What is known of a clip beside its tones.
struct ClipFacts {
    std::string codec;  ///< as `ClipInfo` has it
    bool lossy = false;
    double kilobits_per_second = 0.0;  ///< 0: not known
    bool like_speech = false;
};

/// What the clip of a complaint says, in one kind, and the draft of a reply to the tester.
struct SortedComplaint {
    ComplaintKind kind = ComplaintKind::cannot_tell;
    bool speech_only = false;  ///< not the board: nothing else is in it, as far as a rhythm tells
    std::string rate;          ///< known cause, new tone: who
    std::string reply;         ///< plain text, several paragraphs
};

/// `opinions` of the same board. A pure function.
SortedComplaint sort_complaint(const match::Findings& findings, const std::vector<Opinion>& opinions,
                               const ClipFacts& facts);

struct Complaint {
    std::string id, added_at, added_by, text, unit, serial, sheet, board, path, file_hash, clip;
    double usable_low_hz = 0.0, usable_high_hz = 0.0;
    std::string kind, rate, answer, reply, findings_json;
    std::string triage;              ///< the folder's name where it came by triage
    std::string outcome, closed_at;  ///< closed when `closed_at` is not empty
    std::vector<tones::FloorPoint> floor;
};

/// Stores it whole or not at all, with a copy of the clip where `keep_clip`. The new complaint's id; that
/// of the one already there where triage brought the same clip before.
Result<std::string> store_complaint(Logbook& logbook, Complaint complaint, const KeptSheet* sheet, bool keep_clip);

Result<std::vector<Complaint>> list_complaints(Logbook& logbook, bool closed_too);
/// By the beginning of its id, four digits or more.
Result<Complaint> find_complaint(Logbook& logbook, const std::string& id);
std::optional<Error> close_complaint(Logbook& logbook, const std::string& id, const std::string& outcome);
/// Deletes it, and its clip unless another record needs that.
std::optional<Error> remove_complaint(Logbook& logbook, const std::string& id);
/// Where complaints are deleted already: their recordings, and what the write-ahead log holds of them.
std::optional<Error> remove_recordings_of_removed(Logbook& logbook);

/// What this triage made of a clip before.
enum class SeenBefore { no, taken_in, broken };
Result<SeenBefore> seen_by_triage(Logbook& logbook, const std::string& triage, const std::string& file_hash);
/// For what is wrong with the clip itself only: no later run looks at these bytes again.
std::optional<Error> record_broken_clip(Logbook& logbook, const std::string& triage, const std::string& file_hash,
                                        const std::string& path, const std::string& problem);

}  // namespace tattletone::logbook
