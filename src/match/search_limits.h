#pragma once

namespace tattletone {

/// How far the joint search goes (match/joint_search.h).
struct SearchLimits {
    int most_nodes = 1500;
};

}  // namespace tattletone
