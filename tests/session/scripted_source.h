#pragma once

#include <algorithm>
#include <deque>
#include <mutex>
#include <string>
#include <vector>

#include "sound/capture/sound_source.h"
#include "support/names.h"

/// A microphone that gives what the test puts in.
class ScriptedSource final : public tattletone::SoundSource {
  public:
    struct Script {
        std::mutex mutex;
        std::deque<std::pair<std::vector<float>, bool>> pieces;  // samples, gap before
        tattletone::DeviceStatus status;

        void say(std::vector<float> samples, bool gap_before = false) {
            const std::scoped_lock lock(mutex);
            pieces.emplace_back(std::move(samples), gap_before);
        }
        void become(tattletone::DeviceState state, const std::string& message) {
            const std::scoped_lock lock(mutex);
            status.state = state;
            status.message = message;
        }
    };

    explicit ScriptedSource(std::shared_ptr<Script> script) : script_(std::move(script)) {}
    const std::string& name() const override { return name_; }
    double sample_rate_hz() const override { return 8000.0; }
    tattletone::Piece read(std::span<float> to) override {
        const std::scoped_lock lock(script_->mutex);
        if (script_->pieces.empty()) return {};
        auto& [samples, gap] = script_->pieces.front();
        const std::size_t part = std::min(to.size(), samples.size());
        std::copy_n(samples.begin(), part, to.begin());
        const tattletone::Piece piece{part, gap};
        samples.erase(samples.begin(), samples.begin() + static_cast<std::ptrdiff_t>(part));
        gap = false;
        if (samples.empty()) script_->pieces.pop_front();
        return piece;
    }
    tattletone::DeviceStatus status() const override {
        const std::scoped_lock lock(script_->mutex);
        return script_->status;
    }

  private:
    std::shared_ptr<Script> script_;
    std::string name_ = "scripted";
};
