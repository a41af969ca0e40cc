#include "runtime/base/outfile.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

outset outset_begin(arena *mem, const char *folder) {
	outset o = {.mem = mem, .folder = arena_text(mem, folder)};
	return o;
}

void outset_add(outset *o, const char *name, const char *bytes, size_t size) {
	outset_file f = {.name = arena_text(o->mem, name), .bytes = bytes, .size = size};
	LIST_PUSH(o->mem, &o->files, f);
}

static const char *reason(arena *mem, const char *what, const char *path) {
	return arena_printf(mem, "cannot %s %s: %s", what, path, strerror(errno));
}

static const char *make_folder(outset *o) {
	struct stat st;
	if (mkdir(o->folder, 0777) == 0) return NULL;
	if (errno == EEXIST && stat(o->folder, &st) == 0 && S_ISDIR(st.st_mode)) return NULL;
	if (errno == EEXIST) errno = ENOTDIR;
	return reason(o->mem, "make the folder", o->folder);
}

static const char *write_one(arena *mem, const char *path, const outset_file *f) {
	int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
	if (fd < 0) return reason(mem, "write", path);
	size_t done = 0;
	while (done < f->size) {
		ssize_t n = write(fd, f->bytes + done, f->size - done);
		if (n < 0 && errno == EINTR) continue;
		if (n <= 0) {
			const char *why = reason(mem, "write", path);
			close(fd);
			return why;
		}
		done += (size_t)n;
	}
	/* Some file systems take fsync only for real files; EINVAL there is no lost data. */
	if (fsync(fd) != 0 && errno != EINVAL && errno != EROFS) {
		const char *why = reason(mem, "write", path);
		close(fd);
		return why;
	}
	if (close(fd) != 0) return reason(mem, "write", path);
	return NULL;
}

const char *outset_commit(outset *o) {
	const char *why = make_folder(o);
	if (why) return why;
	size_t n = o->files.n;
	const char **temporary = ARENA_MANY(o->mem, const char *, n ? n : 1);
	size_t written = 0;
	for (; written < n && !why; written++) {
		const outset_file *f = &o->files.v[written];
		temporary[written] = arena_printf(o->mem, "%s/.%s.new-%ld", o->folder, f->name, (long)getpid());
		why = write_one(o->mem, temporary[written], f);
	}
	for (size_t i = 0; i < n && !why; i++) {
		const char *path = arena_printf(o->mem, "%s/%s", o->folder, o->files.v[i].name);
		if (rename(temporary[i], path) != 0) why = reason(o->mem, "write", path);
	}
	/* After a failure nothing temporary stays behind; those already renamed are gone from here. */
	if (why)
		for (size_t i = 0; i < written; i++) unlink(temporary[i]);
	return why;
}

const char *out_stream(arena *mem, void *stdio_file, const char *bytes, size_t size) {
	FILE *f = stdio_file;
	if (size && fwrite(bytes, 1, size, f) != size) return reason(mem, "write", "standard output");
	if (fflush(f) != 0) return reason(mem, "write", "standard output");
	return NULL;
}
