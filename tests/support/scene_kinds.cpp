#include <algorithm>

#include "support/scene.h"

namespace tattletone::scenes {

const char* name_of(SceneKind kind) {
    constexpr const char* names[] = {"culprit", "two-culprits", "quiet", "undeclared", "states"};
    return names[static_cast<int>(kind)];
}

bool Scene::is_singing(int rate) const {
    return std::find(singing.begin(), singing.end(), rate) != singing.end();
}

}  // namespace tattletone::scenes
