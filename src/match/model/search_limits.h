#pragma once

namespace tattletone::match {

/// How far the joint search goes (match/search/joint_search.h).
struct SearchLimits {
    int most_nodes = 1500;
};

}  // namespace tattletone::match
