#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace tattletone::base {

/// Threads that live as long as this object and take jobs in order: what a thread keeps between jobs
/// (plans of transforms, memory) is worth as much as a job. The destructor finishes what was given.
class Workers {
  public:
    explicit Workers(int count);
    ~Workers();
    Workers(const Workers&) = delete;
    Workers& operator=(const Workers&) = delete;

    void run(std::function<void()> job);

  private:
    void work();

    std::mutex mutex_;
    std::condition_variable changed_;
    std::deque<std::function<void()>> jobs_;
    bool ending_ = false;
    std::vector<std::thread> threads_;
};

}  // namespace tattletone::base
