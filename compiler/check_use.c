#include "compiler/check_use.h"

const check_rule CHECK_USE[] = {
	{"shelf-sag", DIAG_WARNING,
	 "What lies level bends by no more than 1/144 of its span under its load and its own weight.",
	 "span/144: a published casework table of shelf spans; deflection: Wood Handbook, Roark", check_shelf_sag},
};
const size_t N_CHECK_USE = sizeof CHECK_USE / sizeof *CHECK_USE;
