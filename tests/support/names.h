#pragma once

// A test speaks of all folders at once: with `using namespace tattletone;` it has the names of each.

namespace tattletone {

namespace base {}
namespace spectrum {}
namespace sound {}
namespace scope {}
namespace tones {}
namespace board {}
namespace match {}
namespace cause {}
namespace logbook {}
namespace report {}
namespace session {}
namespace window {}
namespace command {}

using namespace base;
using namespace spectrum;
using namespace sound;
using namespace scope;
using namespace tones;
using namespace board;
using namespace match;
using namespace cause;
using namespace logbook;
using namespace report;
using namespace session;
using namespace window;
using namespace command;

}  // namespace tattletone
