// Opens the click output and clicks: click_log RATE SECONDS. For click_test.py.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <thread>

#include "sound/capture/click_output.h"
#include "support/names.h"

int main(int count, char** words) {
    if (count != 3) return 2;
    auto clicks = tattletone::ClickOutput::open();
    if (!clicks) {
        std::fprintf(stderr, "%s\n", tattletone::to_sentence(clicks.error()).c_str());
        return 1;
    }
    (*clicks)->set_rate(std::atof(words[1]));
    std::this_thread::sleep_for(std::chrono::duration<double>(std::atof(words[2])));
    return 0;
}
