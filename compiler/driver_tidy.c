#include "compiler/driver_tidy.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "compiler/driver.h"
#include "grammar/files.h"
#include "grammar/tidy.h"
#include "runtime/base/outfile.h"
#include "runtime/base/text.h"

static const char *cannot_write(arena *mem, const char *path, const char *reason) {
	return arena_printf(mem, "cannot write %s: %s", path, reason);
}

/* A name that is a link would be replaced by a file; one that nobody may write is not meant to be. */
static const char *not_in_place(arena *mem, const char *path, struct stat *st) {
	if (lstat(path, st) != 0) return cannot_write(mem, path, strerror(errno));
	if (S_ISLNK(st->st_mode))
		return cannot_write(mem, path, "it is a symbolic link; name the file that it leads to");
	if (!S_ISREG(st->st_mode)) return cannot_write(mem, path, "it is no regular file");
	if ((st->st_mode & (S_IWUSR | S_IWGRP | S_IWOTH)) == 0 || access(path, W_OK) != 0)
		return cannot_write(mem, path, "it is read-only");
	if (st->st_nlink > 1)
		return cannot_write(mem, path, "it has a second name (a hard link), which would keep the old text");
	return NULL;
}

static const char *write_in_place(arena *mem, const char *path, const char *text, size_t size) {
	struct stat st;
	const char *why = not_in_place(mem, path, &st);
	if (why) return why;
	const char *slash = strrchr(path, '/');
	const char *folder = !slash ? "." : slash == path ? "/" : arena_textn(mem, path, (size_t)(slash - path));
	outset o = outset_begin(mem, folder);
	outset_replace(&o, slash ? slash + 1 : path, text, size, (unsigned)st.st_mode);
	return outset_commit(&o);
}

int driver_tidy(arena *mem, const char *path, bool only_check, source_set *sources, diags *d, const char **why) {
	bool standard = text_same(path, "-"), trouble = false;
	grammar_bytes b = grammar_read_main(mem, path);
	if (!b.text) {
		*why = arena_printf(mem, "cannot read %s: %s", standard ? "standard input" : path, b.why);
		return EXIT_FILES;
	}
	uint32_t file = source_add(sources, standard ? "<standard input>" : path, b.text, b.size);
	size_t size = 0;
	const char *text = grammar_tidy(mem, sources, file, d, &size, &trouble);
	if (trouble) *why = arena_printf(mem, "%s was left as it is: tidied, it would not say the same", path);
	if (!text) return trouble ? EXIT_FILES : EXIT_PLAN;
	bool changed = b.marked || size != b.size || memcmp(text, b.text, size) != 0;
	if (standard && !only_check) {
		*why = out_stream(mem, stdout, text, size);
	} else if (changed) {
		if (!only_check) *why = write_in_place(mem, path, text, size);
		const char *line = arena_printf(mem, only_check ? "%s\n" : "%s: tidied\n", path);
		if (!*why) *why = out_stream(mem, stdout, line, strlen(line));
	}
	if (*why) return EXIT_FILES;
	return only_check && changed ? EXIT_PLAN : EXIT_GOOD;
}
