#pragma once

#include <memory>
#include <utility>
#include <vector>

namespace tattletone::base {

template <class T>
struct UnsetAllocator : std::allocator<T> {
    template <class U>
    struct rebind {
        using other = UnsetAllocator<U>;
    };
    template <class U>
    void construct(U* place) noexcept {
        ::new (static_cast<void*>(place)) U;
    }
    template <class U, class... Values>
    void construct(U* place, Values&&... values) {
        std::construct_at(place, std::forward<Values>(values)...);
    }
};

/// A vector of numbers whose resize() leaves the new ones unset: for large tables that are filled
/// at once, where clearing them first would cost as much as a pass over them.
template <class T>
using UnsetVector = std::vector<T, UnsetAllocator<T>>;

}  // namespace tattletone::base
