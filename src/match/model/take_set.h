#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace tattletone::match {

/// Some of a unit's takes, told by their indices. Up to 64 takes nothing is allocated.
class TakeSet {
  public:
    static TakeSet first(std::size_t count) {
        TakeSet set;
        for (std::size_t take = 0; take < count; ++take) set.add(take);
        return set;
    }
    bool has(std::size_t take) const {
        if (take < word_bits) return low_ >> take & 1u;
        const std::size_t word = take / word_bits - 1;
        return word < high_.size() && (high_[word] >> take % word_bits & 1u);
    }
    void add(std::size_t take) {
        if (take < word_bits) {
            low_ |= std::uint64_t{1} << take;
            return;
        }
        const std::size_t word = take / word_bits - 1;
        if (high_.size() <= word) high_.resize(word + 1, 0);
        high_[word] |= std::uint64_t{1} << take % word_bits;
    }
    void add(const TakeSet& others) {
        low_ |= others.low_;
        if (high_.size() < others.high_.size()) high_.resize(others.high_.size(), 0);
        for (std::size_t word = 0; word < others.high_.size(); ++word) high_[word] |= others.high_[word];
    }
    /// How many takes are in both.
    int shared(const TakeSet& others) const {
        int count = std::popcount(low_ & others.low_);
        for (std::size_t word = 0; word < high_.size() && word < others.high_.size(); ++word)
            count += std::popcount(high_[word] & others.high_[word]);
        return count;
    }
    bool meets(const TakeSet& others) const { return shared(others) > 0; }
    TakeSet both(const TakeSet& others) const {
        TakeSet set;
        set.low_ = low_ & others.low_;
        for (std::size_t word = 0; word < high_.size() && word < others.high_.size(); ++word)
            set.high_.push_back(high_[word] & others.high_[word]);
        while (!set.high_.empty() && set.high_.back() == 0) set.high_.pop_back();
        return set;
    }
    bool operator==(const TakeSet&) const = default;  // no word at the end is 0

  private:
    static constexpr std::size_t word_bits = 64;
    std::uint64_t low_ = 0;
    std::vector<std::uint64_t> high_;  ///< takes 64 to 127, …
};

}  // namespace tattletone::match
