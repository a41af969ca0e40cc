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

void outset_replace(outset *o, const char *name, const char *bytes, size_t size, unsigned mode) {
	outset_add(o, name, bytes, size);
	o->files.v[o->files.n - 1].mode = mode & 07777u;
}

static const char *reason(arena *mem, const char *what, const char *path) {
	return arena_printf(mem, "cannot %s %s: %s", what, path, strerror(errno));
}

static const char *make_folder(outset *o, bool *made) {
	struct stat st;
	*made = mkdir(o->folder, 0777) == 0;
	if (*made) return NULL;
	if (errno == EEXIST && stat(o->folder, &st) == 0 && S_ISDIR(st.st_mode)) return NULL;
	if (errno == EEXIST) errno = ENOTDIR;
	return reason(o->mem, "make the folder", o->folder);
}

/* A file of the set on its way: its place, where its new bytes wait, where what was there before is kept. The waiting
 * names are short and say nothing of the place, so that any name the file system takes can be written. */
typedef struct moving {
	const char *path, *fresh, *old;
	bool kept, placed; /* old exists; the new bytes are in their place */
} moving;

static moving moving_of(const outset *o, size_t i) {
	long us = (long)getpid();
	moving m = {.path = arena_printf(o->mem, "%s/%s", o->folder, o->files.v[i].name),
		    .fresh = arena_printf(o->mem, "%s/.new-%ld-%zu", o->folder, us, i),
		    .old = arena_printf(o->mem, "%s/.old-%ld-%zu", o->folder, us, i)};
	return m;
}

/* 0, or errno. */
static int write_bytes(int fd, const outset_file *f) {
	size_t done = 0;
	while (done < f->size) {
		ssize_t n = write(fd, f->bytes + done, f->size - done);
		if (n < 0 && errno == EINTR) continue;
		if (n <= 0) return n < 0 ? errno : EIO;
		done += (size_t)n;
	}
	/* Some file systems take fsync only for real files; EINVAL there is no lost data. */
	if (fsync(fd) != 0 && errno != EINVAL && errno != EROFS) return errno;
	return 0;
}

static const char *write_fresh(arena *mem, const moving *m, const outset_file *f) {
	unlink(m->fresh); /* of a run that was killed */
	int fd = open(m->fresh, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
	if (fd < 0) return reason(mem, "write", m->path);
	int wrong = write_bytes(fd, f);
	if (!wrong && f->mode && fchmod(fd, (mode_t)f->mode) != 0) wrong = errno;
	if (close(fd) != 0 && !wrong) wrong = errno;
	errno = wrong;
	return wrong ? reason(mem, "write", m->path) : NULL;
}

/* Keeps what is there under a second name, then puts the new file over it. */
static const char *place(arena *mem, moving *m) {
	struct stat st;
	if (lstat(m->path, &st) == 0) {
		errno = EISDIR;
		if (S_ISDIR(st.st_mode)) return reason(mem, "write", m->path);
		unlink(m->old);
		/* A file system without second names has it moved away instead. */
		if (link(m->path, m->old) != 0 && rename(m->path, m->old) != 0) return reason(mem, "write", m->path);
		m->kept = true;
	}
	if (rename(m->fresh, m->path) != 0) return reason(mem, "write", m->path);
	m->placed = true;
	return NULL;
}

static void undo(const moving *m) {
	if (m->kept)
		rename(m->old, m->path);
	else if (m->placed)
		unlink(m->path);
	/* Two names of one file are left as they are by rename(), so the second is taken away by itself. */
	unlink(m->old);
	unlink(m->fresh);
}

const char *outset_commit(outset *o) {
	bool made;
	const char *why = make_folder(o, &made);
	if (why) return why;
	size_t n = o->files.n;
	moving *all = ARENA_MANY(o->mem, moving, n);
	for (size_t i = 0; i < n; i++) all[i] = moving_of(o, i);
	for (size_t i = 0; i < n && !why; i++) why = write_fresh(o->mem, &all[i], &o->files.v[i]);
	for (size_t i = 0; i < n && !why; i++) why = place(o->mem, &all[i]);
	for (size_t i = n; i-- > 0;) {
		if (why)
			undo(&all[i]);
		else if (all[i].kept)
			unlink(all[i].old);
	}
	if (why && made) rmdir(o->folder);
	return why;
}

const char *out_stream(arena *mem, void *stdio_file, const char *bytes, size_t size) {
	FILE *f = stdio_file;
	if (size && fwrite(bytes, 1, size, f) != size) return reason(mem, "write", "standard output");
	if (fflush(f) != 0) return reason(mem, "write", "standard output");
	return NULL;
}
