/* What the shipped library declares, read when a plan names what it does not know.
 * Ownership: names, texts and trees live in the arena. */
#ifndef COMPILER_DRIVER_SHIPPED_H
#define COMPILER_DRIVER_SHIPPED_H
#include "compiler/resolve.h"

typedef struct driver_shipped {
	arena *mem;
	const char *root; /* the shipped folder, or NULL */
	bool read;
	shipped_names names;
} driver_shipped;

/* For resolve_options: `with` is a driver_shipped. Reads the files when it is first asked. */
const shipped_names *driver_shipped_names(void *with);
#endif
