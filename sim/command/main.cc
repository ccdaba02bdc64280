// The program. Everything it does is in command_line.cc.
#include "sim/command/command_line.h"

int main(int argc, char** argv) { return sim::command::run_command_line(argc, argv); }
