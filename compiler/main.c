#include <stdio.h>
#include <string.h>

#include "compiler/driver.h"
#include "runtime/base/outfile.h"

/* The folder that holds the shipped `stock/`; the Makefile says which. */
#ifndef WINDCHEST_STOCK_DIR
#define WINDCHEST_STOCK_DIR "plans"
#endif

int main(int argc, char **argv) {
	arena mem = {0};
	options o;
	const char *say = NULL;
	int status = EXIT_GOOD;
	switch (options_read(&mem, argc, argv, &o, &say)) {
	case OPTIONS_RUN:
		o.shipped = WINDCHEST_STOCK_DIR;
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
