#include "command/program.h"

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace {

// The tables of one stretch of sound are as large as those of the next: what was freed is kept, as
// fetching it anew from the system costs time for every page.
void keep_freed_memory() {
#ifdef __GLIBC__
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
    mallopt(M_TRIM_THRESHOLD, 128 << 20);
#endif
}

}  // namespace

int main(int count, char** words) {
    keep_freed_memory();
    return tattletone::command::run_program(tattletone::command::Arguments(words + (count > 0), words + count));
}
