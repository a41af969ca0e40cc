/* General tolerances of lengths that carry none of their own. Values: no ownership. */
#ifndef ENGINE_TOLERANCE_H
#define ENGINE_TOLERANCE_H
#include <stddef.h>

#include "runtime/base/rat.h"

/* One row: lengths over the row before and up to `most` may be off by `off` either way, both mm. */
typedef struct tolerance_row {
	rat most, off;
} tolerance_row;

/* ISO 2768-1, table 1, class m (medium), in order of length: from 0.5 mm to 4 m. Rows over 6 mm as read; those below
 * from memory. */
const tolerance_row *tolerance_medium(size_t *n);
/* Its row for a length in mm; n when it has none (under 0.5 mm, over 4 m, a poison). A length on a limit belongs to
 * the row below it. */
size_t tolerance_medium_row(rat mm);
#endif
