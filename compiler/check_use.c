#include "compiler/check_use.h"

const check_rule CHECK_USE[] = {
	{"shelf-sag", DIAG_WARNING, "What lies level bends little under its load and its own weight.",
	 "span/144: a published casework table of shelf spans; deflection: Wood Handbook, Roark", check_shelf_sag},
	{"seam-unbacked", DIAG_WARNING,
	 "Sheets that lie edge to edge in a plane are joined, or something lies behind most of their seam.",
	 "common practice, no source", check_seam_unbacked},
	{"axes-apart", DIAG_WARNING,
	 "Openings that meet where two sheets lie on each other have one axis, or one lies in the other.",
	 "common practice, no source", check_axes_apart},
	{"door-sweep", DIAG_ERROR, "Every door opens as far as it should; a quarter turn when nothing is said.",
	 "geometry", check_door_sweep},
	{"slide-blocked", DIAG_ERROR, "What slides goes as far as it should, doors open.", "geometry",
	 check_slide_blocked},
	{"stuck-inside", DIAG_ERROR, "Filters, fans and loose parts can come out when the work is done.", "geometry",
	 check_comes_out},
	{"screwed-shut", DIAG_WARNING, "Few screws are undone to change a filter or to lift out a loose part.",
	 "common practice, no source", NULL},
	{"caster-swing", DIAG_WARNING, "The wheels of casters turn without meeting anything, and hardly stand out.",
	 "geometry; for standing out: common practice, no source", check_caster_swing},
	{"doorway", DIAG_ERROR, "What is built passes the doorway that the plan names.", "geometry", check_doorway},
	{"wood-moves", DIAG_WARNING, "Solid wood that is held across its grain hardly moves there.",
	 "USDA Wood Handbook for the movement; the limit: common practice, no source", check_wood_moves},
	{"grain-short", DIAG_WARNING, "The grain of a long part, and of one that carries, runs along its length.",
	 "common practice, no source", check_grain_short},
};
const size_t N_CHECK_USE = sizeof CHECK_USE / sizeof *CHECK_USE;
