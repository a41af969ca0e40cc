/* Where each part lies on its sheet or bar. */
#include "runtime/write/book_build.h"

void book_sheets(book *b) { (void)b; }
