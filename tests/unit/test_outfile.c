/* Whole-file output: every file of a set appears complete or none does, and what was there before stays. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "runtime/base/outfile.h"

typedef struct place {
	arena mem;
	char root[32], out[64];
} place;

static int begin(void **state) {
	place *p = calloc(1, sizeof *p);
	strcpy(p->root, "/tmp/windchest-XXXXXX");
	if (!mkdtemp(p->root)) return 1;
	snprintf(p->out, sizeof p->out, "%s/out", p->root);
	*state = p;
	return 0;
}

static const char *path(place *p, const char *name) { return arena_printf(&p->mem, "%s/%s", p->out, name); }

static int count(const char *folder) {
	DIR *d = opendir(folder);
	if (!d) return -1;
	int n = 0;
	for (struct dirent *e; (e = readdir(d));)
		if (strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0) n++;
	closedir(d);
	return n;
}

static int end(void **state) {
	place *p = *state;
	DIR *d = opendir(p->out);
	if (d) {
		for (struct dirent *e; (e = readdir(d));)
			if (strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0) remove(path(p, e->d_name));
		closedir(d);
	}
	remove(p->out);
	int left = remove(p->root); /* fails when something was left beside the folder */
	arena_end(&p->mem);
	free(p);
	return left;
}

static void assert_file(place *p, const char *name, const char *expected, size_t n) {
	FILE *f = fopen(path(p, name), "rb");
	assert_non_null(f);
	char *got = arena_alloc(&p->mem, n + 16);
	assert_int_equal(fread(got, 1, n + 16, f), n);
	assert_memory_equal(got, expected, n);
	fclose(f);
}

static void put(place *p, const char *name, const char *text) {
	FILE *f = fopen(path(p, name), "wb");
	assert_non_null(f);
	fputs(text, f);
	assert_int_equal(fclose(f), 0);
}

static void writes_every_file(void **state) {
	place *p = *state;
	outset o = outset_begin(&p->mem, p->out);
	outset_add(&o, "a.csv", "x\0y", 3);
	outset_add(&o, "empty", "", 0);
	size_t n = 3u << 20;
	char *big = arena_alloc(&p->mem, n);
	memset(big, 'b', n);
	outset_add(&o, "big", big, n);
	assert_null(outset_commit(&o));
	assert_file(p, "a.csv", "x\0y", 3);
	assert_file(p, "empty", "", 0);
	assert_file(p, "big", big, n);
	assert_int_equal(count(p->out), 3);
}

static void writes_over_what_was_there_and_leaves_the_rest(void **state) {
	place *p = *state;
	assert_int_equal(mkdir(p->out, 0777), 0);
	put(p, "a", "a long old text");
	put(p, "other", "stays");
	outset o = outset_begin(&p->mem, p->out);
	outset_add(&o, "a", "new", 3);
	assert_null(outset_commit(&o));
	assert_file(p, "a", "new", 3);
	assert_file(p, "other", "stays", 5);
	assert_int_equal(count(p->out), 2);
}

static void a_set_of_nothing_makes_the_folder(void **state) {
	place *p = *state;
	outset o = outset_begin(&p->mem, p->out);
	assert_null(outset_commit(&o));
	assert_int_equal(count(p->out), 0);
}

/* The second file cannot be put in its place: the first must not be either. */
static void assert_none_changed(place *p, const char *bad_name, const char *expected_reason) {
	put(p, "a", "old");
	int before = count(p->out);
	outset o = outset_begin(&p->mem, p->out);
	outset_add(&o, "a", "new", 3);
	outset_add(&o, "fresh", "new", 3);
	outset_add(&o, bad_name, "new", 3);
	const char *why = outset_commit(&o);
	assert_non_null(why);
	assert_string_equal(why, arena_printf(&p->mem, "cannot write %s/%s: %s", p->out, bad_name, expected_reason));
	assert_file(p, "a", "old", 3);
	assert_int_equal(count(p->out), before);
}

static void a_folder_in_the_way_changes_nothing(void **state) {
	place *p = *state;
	assert_int_equal(mkdir(p->out, 0777), 0);
	assert_int_equal(mkdir(path(p, "taken"), 0777), 0);
	assert_none_changed(p, "taken", "Is a directory");
}

static void a_name_too_long_changes_nothing(void **state) {
	place *p = *state;
	assert_int_equal(mkdir(p->out, 0777), 0);
	char name[300];
	memset(name, 'n', sizeof name - 1);
	name[sizeof name - 1] = '\0';
	assert_none_changed(p, name, "File name too long");
	/* The longest that the file system takes is taken. */
	name[255] = '\0';
	outset o = outset_begin(&p->mem, p->out);
	outset_add(&o, name, "new", 3);
	assert_null(outset_commit(&o));
	assert_file(p, name, "new", 3);
}

static void a_disk_that_is_full_changes_nothing(void **state) {
	place *p = *state;
	assert_int_equal(mkdir(p->out, 0777), 0);
	put(p, "a", "old");
	/* A limit on the size of files stands for the full disk: write() comes back short, then fails. */
	signal(SIGXFSZ, SIG_IGN);
	struct rlimit was, small;
	getrlimit(RLIMIT_FSIZE, &was);
	small = was;
	small.rlim_cur = 1000;
	outset o = outset_begin(&p->mem, p->out);
	char *big = arena_alloc(&p->mem, 5000);
	outset_add(&o, "a", "new", 3);
	outset_add(&o, "big", big, 5000);
	setrlimit(RLIMIT_FSIZE, &small);
	const char *why = outset_commit(&o);
	setrlimit(RLIMIT_FSIZE, &was);
	assert_non_null(why);
	assert_string_equal(why, arena_printf(&p->mem, "cannot write %s/big: File too large", p->out));
	assert_file(p, "a", "old", 3);
	assert_int_equal(count(p->out), 1);
}

static void a_folder_that_was_made_for_nothing_goes_again(void **state) {
	place *p = *state;
	char name[300];
	memset(name, 'n', sizeof name - 1);
	name[sizeof name - 1] = '\0';
	outset o = outset_begin(&p->mem, p->out);
	outset_add(&o, name, "x", 1);
	assert_non_null(outset_commit(&o));
	assert_int_equal(count(p->out), -1);
}

static void a_folder_that_cannot_be_is_named(void **state) {
	place *p = *state;
	outset o = outset_begin(&p->mem, "/dev/null");
	assert_string_equal(outset_commit(&o), "cannot make the folder /dev/null: Not a directory");
	o = outset_begin(&p->mem, "/dev/null/out");
	assert_string_equal(outset_commit(&o), "cannot make the folder /dev/null/out: Not a directory");
	const char *deep = arena_printf(&p->mem, "%s/no/such", p->root);
	o = outset_begin(&p->mem, deep);
	assert_string_equal(outset_commit(&o),
			    arena_printf(&p->mem, "cannot make the folder %s: No such file or directory", deep));
}

static void a_link_is_replaced_not_followed(void **state) {
	place *p = *state;
	assert_int_equal(mkdir(p->out, 0777), 0);
	assert_int_equal(symlink("/dev/full", path(p, "a")), 0);
	outset o = outset_begin(&p->mem, p->out);
	outset_add(&o, "a", "new", 3);
	assert_null(outset_commit(&o));
	struct stat st;
	assert_int_equal(lstat(path(p, "a"), &st), 0);
	assert_true(S_ISREG(st.st_mode));
	assert_file(p, "a", "new", 3);
}

static void a_stream_that_takes_nothing_is_reported(void **state) {
	place *p = *state;
	FILE *full = fopen("/dev/full", "w");
	assert_non_null(full);
	/* Small enough to stand in the buffer: only the flush can tell. */
	assert_string_equal(out_stream(&p->mem, full, "x", 1), "cannot write standard output: No space left on device");
	fclose(full);
	FILE *good = tmpfile();
	assert_non_null(good);
	assert_null(out_stream(&p->mem, good, "x", 1));
	assert_null(out_stream(&p->mem, good, "", 0));
	rewind(good);
	assert_int_equal(fgetc(good), 'x');
	assert_int_equal(fgetc(good), EOF);
	fclose(good);
}

int main(void) {
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(writes_every_file, begin, end),
		cmocka_unit_test_setup_teardown(writes_over_what_was_there_and_leaves_the_rest, begin, end),
		cmocka_unit_test_setup_teardown(a_set_of_nothing_makes_the_folder, begin, end),
		cmocka_unit_test_setup_teardown(a_folder_in_the_way_changes_nothing, begin, end),
		cmocka_unit_test_setup_teardown(a_name_too_long_changes_nothing, begin, end),
		cmocka_unit_test_setup_teardown(a_disk_that_is_full_changes_nothing, begin, end),
		cmocka_unit_test_setup_teardown(a_folder_that_was_made_for_nothing_goes_again, begin, end),
		cmocka_unit_test_setup_teardown(a_folder_that_cannot_be_is_named, begin, end),
		cmocka_unit_test_setup_teardown(a_link_is_replaced_not_followed, begin, end),
		cmocka_unit_test_setup_teardown(a_stream_that_takes_nothing_is_reported, begin, end),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
