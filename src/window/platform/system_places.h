#pragma once

#include <string>
#include <vector>

namespace tattletone::window {

/// Where a system keeps what a program needs. The only file of the window that knows which system
/// this is. Paths are UTF-8; empty where there is none.

std::string settings_folder();          ///< of this user, for this program; not made yet
std::string default_save_folder();      ///< where the user looks for pictures and recordings
std::string demo_folder();              ///< the samples that ship with the program
std::vector<std::string> text_fonts();  ///< scalable fonts with Latin and Greek, the best first

}  // namespace tattletone::window
