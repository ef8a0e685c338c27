#pragma once

#include <string>

#include "cause/mechanism.h"

namespace tattletone::report {

/// The likeliest mechanism with what speaks for it, the others by name, as sentences; empty where
/// the suspect is below 0.5 or nothing can be said.
std::string mechanism_sentence(const match::Findings& findings, const board::BoardSheet& sheet,
                               const match::Suspect& suspect);

/// "likely: a ceramic capacitor on 3V3 (--report lists 8 cures)", of the first suspect where it is named; else empty.
std::string cause_note(const match::Findings& findings, const board::BoardSheet& sheet);

/// Two to four lines for the terminal about the first suspect, where it is named; else empty.
std::string cause_text(const match::Findings& findings, const board::BoardSheet& sheet, int columns, bool bold);

/// A section of a page about every named suspect; empty where there is none.
std::string page_cause(const match::Findings& findings, const board::BoardSheet* sheet);

/// A list of objects, one a named suspect.
std::string causes_json(const match::Findings& findings, const board::BoardSheet& sheet);

/// How each suspect's rail stands, a list of objects; those without a rail are left out.
std::string supplies_json(const match::Findings& findings, const board::BoardSheet& sheet);

}  // namespace tattletone::report
