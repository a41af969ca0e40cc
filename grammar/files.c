#include "grammar/files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "grammar/reader.h"
#include "runtime/base/text.h"

const char *grammar_path(arena *mem, const char *beside, const char *path) {
	if (!*path || *path == '/') return NULL;
	const char *slash = strrchr(beside, '/');
	const char *all = slash ? arena_printf(mem, "%.*s/%s", (int)(slash - beside), beside, path) : path;
	char *out = arena_alloc(mem, strlen(all) + 2);
	size_t n = 0;
	while (*all) {
		size_t k = strcspn(all, "/");
		if (k == 2 && memcmp(all, "..", 2) == 0) {
			if (n == 0) return NULL;
			n--;
			while (n > 0 && out[n - 1] != '/') n--;
		} else if (k && !(k == 1 && *all == '.')) {
			memcpy(out + n, all, k);
			n += k;
			out[n++] = '/';
		}
		all += k;
		while (*all == '/') all++;
	}
	if (n == 0) return NULL;
	out[n - 1] = '\0';
	return out;
}

/* ---- reading ----------------------------------------------------------------------------------- */

/* A file's bytes up to the limit; the descriptor is closed. */
static grammar_bytes read_all(arena *mem, int fd, size_t expected) {
	grammar_bytes b = {0};
	size_t room = expected < 4096 ? 4096 : expected + 1, n = 0;
	char *text = arena_alloc(mem, room + 1);
	for (;;) {
		if (n == room) {
			char *more = arena_alloc(mem, room * 2 + 1);
			memcpy(more, text, n);
			text = more;
			room *= 2;
		}
		ssize_t k = read(fd, text + n, room - n);
		if (k < 0 && errno == EINTR) continue;
		if (k < 0) b.why = arena_text(mem, strerror(errno));
		if (k <= 0) break;
		n += (size_t)k;
		if (n > GRAMMAR_MOST_BYTES) break;
	}
	close(fd);
	if (!b.why && n > GRAMMAR_MOST_BYTES) b.why = "it is larger than 16 MiB";
	if (b.why) return b;
	text[n] = '\0';
	if (n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) { /* a byte order mark is no part of the text */
		text += 3;
		n -= 3;
		b.marked = true;
	}
	b.text = text;
	b.size = n;
	return b;
}

static const char *irregular(const struct stat *st) {
	if (S_ISREG(st->st_mode)) return NULL;
	if (S_ISDIR(st->st_mode)) return "it is a folder";
	return "it is no regular file";
}

static grammar_bytes read_regular(arena *mem, int fd) {
	grammar_bytes b = {0};
	struct stat st;
	if (fstat(fd, &st) != 0)
		b.why = arena_text(mem, strerror(errno));
	else
		b.why = irregular(&st);
	if (!b.why && st.st_size > GRAMMAR_MOST_BYTES) b.why = "it is larger than 16 MiB";
	if (b.why) {
		close(fd);
		return b;
	}
	b = read_all(mem, fd, (size_t)st.st_size);
	b.device = st.st_dev;
	b.node = st.st_ino;
	return b;
}

static grammar_bytes failed(arena *mem) {
	grammar_bytes b = {0};
	b.missing = errno == ENOENT || errno == ENOTDIR;
	b.why = errno == ELOOP ? "it is reached through a symbolic link" : arena_text(mem, strerror(errno));
	return b;
}

/* Opens the folder that holds root/relative, stepping down without following links. -1: see errno. */
static int open_folder(const char *root, const char *relative, const char **last) {
	int fd = open(*root ? root : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	char name[256];
	for (const char *slash; fd >= 0 && (slash = strchr(relative, '/')); relative = slash + 1) {
		size_t n = (size_t)(slash - relative);
		if (n >= sizeof name) {
			close(fd);
			errno = ENAMETOOLONG;
			return -1;
		}
		memcpy(name, relative, n);
		name[n] = '\0';
		struct stat st;
		bool link = fstatat(fd, name, &st, AT_SYMLINK_NOFOLLOW) == 0 && S_ISLNK(st.st_mode);
		int next = openat(fd, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
		int why = link ? ELOOP : errno; /* O_DIRECTORY says "not a folder" of a link */
		close(fd);
		fd = next;
		errno = why;
	}
	*last = relative;
	return fd;
}

grammar_bytes grammar_read_below(arena *mem, const char *root, const char *relative) {
	const char *last;
	int folder = open_folder(root, relative, &last);
	if (folder < 0) return failed(mem);
	/* Not to wait for the other end of a pipe: it is refused when it is seen to be one. */
	int fd = openat(folder, last, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
	grammar_bytes b = {0};
	if (fd < 0) b = failed(mem);
	close(folder);
	return fd < 0 ? b : read_regular(mem, fd);
}

grammar_bytes grammar_read_main(arena *mem, const char *path) {
	if (strcmp(path, "-") == 0) {
		int copy = dup(STDIN_FILENO);
		return copy < 0 ? failed(mem) : read_all(mem, copy, 0);
	}
	int fd = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
	return fd < 0 ? failed(mem) : read_regular(mem, fd);
}

/* ---- near names -------------------------------------------------------------------------------- */

static int by_text(const void *a, const void *b) { return strcmp(*(const char *const *)a, *(const char *const *)b); }

const char **grammar_plans_beside(arena *mem, const char *root, const char *relative, size_t *n) {
	LIST(const char *) names = {0};
	const char *last;
	int fd = open_folder(root, relative, &last);
	DIR *folder = fd < 0 ? NULL : fdopendir(fd);
	if (fd >= 0 && !folder) close(fd);
	for (const struct dirent *e; folder && (e = readdir(folder));) {
		size_t k = strlen(e->d_name);
		if (k > 5 && strcmp(e->d_name + k - 5, ".plan") == 0)
			LIST_PUSH(mem, &names, arena_textn(mem, e->d_name, k - 5));
	}
	if (folder) closedir(folder);
	if (names.n) qsort(names.v, names.n, sizeof *names.v, by_text);
	*n = names.n;
	return names.v;
}
