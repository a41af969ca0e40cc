#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/time.h>
#include <unistd.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

#include "compiler/driver.h"
#include "runtime/base/outfile.h"

/* The folder that holds the shipped `stock/`; the Makefile says which. */
#ifndef WINDCHEST_STOCK_DIR
#define WINDCHEST_STOCK_DIR "plans"
#endif

/* ---- one line on a terminal that says what takes so long -------------------------------------------------- */

/* The only state that outlives a call, and the only clock: a handler has nothing else to look at. */
static const char *volatile working_on;
static volatile sig_atomic_t shown;

static void put(const char *text) {
	if (write(STDERR_FILENO, text, strlen(text)) < 0) return; /* nobody to tell */
}

static void every_second(int signal_number) {
	(void)signal_number;
	const char *what = working_on;
	if (!what) return;
	put("\r\033[Kwindchest: ");
	put(what);
	put(" …");
	shown = 1;
}

static void tell(const char *what) {
	working_on = what;
	if (what || !shown) return;
	shown = 0;
	put("\r\033[K");
}

/* Only for a person before a terminal that can erase a line. Stages are slow or quick; what they find does not depend
 * on the clock. */
static void begin_progress(options *o) {
	const char *term = getenv("TERM");
	bool person = isatty(STDERR_FILENO) && term && *term && strcmp(term, "dumb") != 0;
	if (!person || o->diagnostics != DIAGNOSTICS_TEXT) return;
	struct sigaction act = {.sa_handler = every_second, .sa_flags = SA_RESTART};
	struct itimerval second = {{1, 0}, {1, 0}};
	if (sigaction(SIGALRM, &act, NULL) != 0 || setitimer(ITIMER_REAL, &second, NULL) != 0) return;
	o->progress.tell = tell;
}

/* What is freed is soon asked for again: the C library need not give it back and zero it anew. */
static void keep_memory(void) {
#ifdef __GLIBC__
	mallopt(M_MMAP_THRESHOLD, 32 << 20);
	mallopt(M_TRIM_THRESHOLD, 256 << 20);
#endif
}

int main(int argc, char **argv) {
	arena mem = {0};
	options o;
	const char *say = NULL;
	int status = EXIT_GOOD;
	keep_memory();
	switch (options_read(&mem, argc, argv, &o, &say)) {
	case OPTIONS_RUN:
		o.shipped = WINDCHEST_STOCK_DIR;
		begin_progress(&o);
		status = driver_run(&o);
		break;
	case OPTIONS_SAID: {
		const char *why = out_stream(&mem, stdout, say, strlen(say));
		if (why) {
			fprintf(stderr, "windchest: error: %s\n", why);
			status = EXIT_FILES;
		}
		break;
	}
	case OPTIONS_WRONG:
		fprintf(stderr, "windchest: error: %s\n", say);
		status = EXIT_USAGE;
		break;
	}
	arena_end(&mem);
	return status;
}
