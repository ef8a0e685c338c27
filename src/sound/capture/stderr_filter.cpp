#include "sound/capture/stderr_filter.h"

#include "base/text/printable.h"

#ifdef __linux__
#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#endif

#include <cstdlib>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <utility>

namespace tattletone::sound {

#ifdef __linux__
namespace {

bool is_chatter(std::string_view line) {
    return line.find("src/hostapi/") != std::string_view::npos || line.starts_with("ALSA lib ") ||
           line.find("jack server") != std::string_view::npos || line.find("JackShm") != std::string_view::npos ||
           line == "\n";
}

void write_all(int file, std::string_view text) {
    while (!text.empty()) {
        const auto written = ::write(file, text.data(), text.size());
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) return;
        text.remove_prefix(static_cast<std::size_t>(written));
    }
}

}  // namespace

struct StderrFilter::State {
    std::mutex ending;
    int real = -1;
    int from = -1;
    std::thread reader;

    void pass_on() const {
        std::string waiting;
        char block[4096];
        while (true) {
            const auto got = ::read(from, block, sizeof block);
            if (got < 0 && errno == EINTR) continue;
            if (got <= 0) break;
            waiting.append(block, static_cast<std::size_t>(got));
            bool dropped = false;
            for (std::size_t end; (end = waiting.find('\n')) != std::string::npos;) {
                const std::string_view line(waiting.data(), end + 1);
                // An empty line is chatter only behind a chatty one.
                const bool drop = is_chatter(line) && (line != "\n" || dropped);
                if (!drop) write_all(real, base::printable(line.substr(0, end)) + '\n');
                dropped = drop;
                waiting.erase(0, end + 1);
            }
        }
        write_all(real, base::printable(waiting));
    }
};

StderrFilter::StderrFilter() : state_(std::make_unique<State>()) {
    int ends[2];
    std::fflush(stderr);
    state_->real = fcntl(STDERR_FILENO, F_DUPFD_CLOEXEC, 3);
    if (state_->real < 0 || pipe2(ends, O_CLOEXEC) != 0) return;
    state_->from = ends[0];
    dup2(ends[1], STDERR_FILENO);
    close(ends[1]);
    state_->reader = std::thread([state = state_.get()] { state->pass_on(); });
}

void StderrFilter::end() {
    const std::scoped_lock lock(state_->ending);
    if (state_->reader.joinable()) {
        std::fflush(stderr);
        dup2(state_->real,
             STDERR_FILENO);  // closes the last writing end, so the reader comes to its end
        state_->reader.join();
        close(state_->from);
    }
    if (state_->real >= 0) close(std::exchange(state_->real, -1));
}
#else
struct StderrFilter::State {};
StderrFilter::StderrFilter() = default;
void StderrFilter::end() {}
#endif

StderrFilter::~StderrFilter() {
    end();
}

std::shared_ptr<StderrFilter> StderrFilter::keep() {
    static std::mutex mutex;
    static std::weak_ptr<StderrFilter> shared;
    // A device thread that hangs holds its filter to the end: what still waits must come out all
    // the same.
    static const int registered = std::atexit([] {
        if (const auto filter = shared.lock()) filter->end();
    });
    static_cast<void>(registered);
    const std::scoped_lock lock(mutex);
    auto filter = shared.lock();
    if (!filter) {
        filter.reset(new StderrFilter());
        shared = filter;
    }
    return filter;
}

}  // namespace tattletone::sound
