#include "command/program.h"

int main(int count, char** words) {
    return tattletone::run_program(tattletone::Arguments(words + (count > 0), words + count));
}
