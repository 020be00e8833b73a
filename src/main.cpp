#include "cli/command.h"

int main(int count, char** words) {
    return tallyboard::run_program(tallyboard::Arguments(words + (count > 0 ? 1 : 0), words + count));
}
