/* Runs a command over plans: reads, resolves, checks, computes, writes.
 * Ownership: each plan has an arena of its own, ended before the next begins. */
#ifndef COMPILER_DRIVER_H
#define COMPILER_DRIVER_H
#include "compiler/options.h"

enum { EXIT_GOOD = 0, EXIT_PLAN = 1, EXIT_USAGE = 2, EXIT_FILES = 3 };

/* The exit status of the program. Results go to standard output, messages to standard error. */
int driver_run(const options *o);
#endif
