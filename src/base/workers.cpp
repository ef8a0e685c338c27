#include "base/workers.h"

#include <system_error>
#include <utility>

namespace tattletone::base {

Workers::Workers(int count) {
    threads_.reserve(static_cast<std::size_t>(count));
    try {
        for (int i = 0; i < count; ++i) threads_.emplace_back([this] { work(); });
    } catch (const std::system_error&) {
        // Fewer do as well; without any, `run` works by itself.
    }
}

Workers::~Workers() {
    {
        const std::lock_guard lock(mutex_);
        ending_ = true;
    }
    changed_.notify_all();
    for (std::thread& thread : threads_) thread.join();
}

void Workers::run(std::function<void()> job) {
    if (threads_.empty()) {
        job();
        return;
    }
    {
        const std::lock_guard lock(mutex_);
        jobs_.push_back(std::move(job));
    }
    changed_.notify_one();
}

void Workers::work() {
    for (;;) {
        std::function<void()> job;
        {
            std::unique_lock lock(mutex_);
            changed_.wait(lock, [this] { return ending_ || !jobs_.empty(); });
            if (jobs_.empty()) return;
            job = std::move(jobs_.front());
            jobs_.pop_front();
        }
        job();
    }
}

}  // namespace tattletone::base
