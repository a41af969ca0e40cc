/* Runs a command several times and prints the median of its time and the most memory it took.
 *   measure RUNS LABEL COMMAND [ARGUMENT...]
 * Ownership: nothing is allocated. The command's standard output is dropped. */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { MOST_RUNS = 99 };

static double seconds_now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static double cpu_of_children(void) {
	struct rusage u;
	getrusage(RUSAGE_CHILDREN, &u);
	return (double)(u.ru_utime.tv_sec + u.ru_stime.tv_sec) +
	       (double)(u.ru_utime.tv_usec + u.ru_stime.tv_usec) / 1e6;
}

/* Status of the command, or 127 when it could not be started. */
static int run(char **command) {
	pid_t child = fork();
	if (child < 0) return 127;
	if (child == 0) {
		int nowhere = open("/dev/null", O_WRONLY);
		if (nowhere >= 0) dup2(nowhere, STDOUT_FILENO);
		execv(command[0], command);
		_exit(127);
	}
	int status = 0;
	if (waitpid(child, &status, 0) != child) return 127;
	return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

static int by_size(const void *a, const void *b) {
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

int main(int argc, char **argv) {
	int runs = argc > 3 ? atoi(argv[1]) : 0;
	if (runs < 1 || runs > MOST_RUNS) {
		fputs("usage: measure RUNS LABEL COMMAND [ARGUMENT...]\n", stderr);
		return 2;
	}
	double wall[MOST_RUNS], cpu[MOST_RUNS];
	for (int i = 0; i < runs; i++) {
		double began = seconds_now(), cpu_began = cpu_of_children();
		int status = run(argv + 3);
		wall[i] = seconds_now() - began;
		cpu[i] = cpu_of_children() - cpu_began;
		if (status != 0) {
			fprintf(stderr, "measure: %s ended with status %d\n", argv[3], status);
			return 1;
		}
	}
	qsort(wall, (size_t)runs, sizeof *wall, by_size);
	qsort(cpu, (size_t)runs, sizeof *cpu, by_size);
	struct rusage u;
	getrusage(RUSAGE_CHILDREN, &u); /* ru_maxrss: the largest of the runs, in KiB */
	printf("%-32s %8.3f s  %8.3f s cpu  %8.1f MiB  (%d runs)\n", argv[2], wall[runs / 2], cpu[runs / 2],
	       (double)u.ru_maxrss / 1024.0, runs);
	return 0;
}
