/* Minutes that work takes: every one common practice, no source. A plan that knows better writes `time` and `wait` in
 * a step. X(name, minutes, what it is for) */
#ifndef COMPILER_ORDER_RATES_H
#define COMPILER_ORDER_RATES_H

#define ORDER_RATES(X)                                                                                                 \
	X(BUY_STOCK, 2.0, "checking one kind of stock that came")                                                      \
	X(MEASURE, 5.0, "measuring the sheets of one kind")                                                            \
	X(CUT_PART, 3.0, "marking and handling one part at the saw")                                                   \
	X(CUT_SAW, 1.5, "one saw cut; a panel takes four, a bar two")                                                  \
	X(TEMPLATE, 45.0, "one template with its test cut")                                                            \
	X(GROOVE, 5.0, "setting up for one dado or rabbet")                                                            \
	X(GROOVE_METRE, 3.0, "each metre of dado or rabbet")                                                           \
	X(OPEN_SHEET, 10.0, "marking out one sheet of a pattern")                                                      \
	X(OPEN_BORE, 1.0, "one opening by drill or hole saw")                                                          \
	X(OPEN_ROUTE, 1.0, "setting the template for one opening")                                                     \
	X(OPEN_ROUTE_METRE, 1.5, "each metre of edge and pass by router")                                              \
	X(DRILL_HOLE, 0.5, "one screw hole")                                                                           \
	X(EASE_SHEET, 5.0, "setting up for the edges of one pattern")                                                  \
	X(EASE_METRE, 1.0, "each metre of edge")                                                                       \
	X(TRY_PART, 4.0, "trying one part dry and taking it apart again")                                              \
	X(FINISH_PART, 2.0, "handling one part")                                                                       \
	X(FINISH_M2, 10.0, "sanding and finishing each square metre")                                                  \
	X(FINISH_DRY, 720.0, "drying of the finish (wait)")                                                            \
	X(JOIN, 8.0, "bringing together and clamping one joint")                                                       \
	X(JOIN_SCREW, 0.7, "one screw")                                                                                \
	X(JOIN_GLUE_METRE, 1.0, "spreading glue on each metre")                                                        \
	X(JOIN_CLOSE, 2.0, "drawing one glued joint together by clamps or its first screws")                           \
	X(GLUE_CURE, 60.0, "glue until the clamps come off (wait), when its stock does not say")                       \
	X(SEAT, 3.0, "one collar")                                                                                     \
	X(GASKET, 2.0, "beginning one run of gasket")                                                                  \
	X(GASKET_METRE, 2.0, "each metre of gasket")                                                                   \
	X(FILTER, 10.0, "one filter unit")                                                                             \
	X(TUBE, 4.0, "one filter tube")                                                                                \
	X(FIT, 10.0, "one bought item")                                                                                \
	X(FAN, 40.0, "one fan")                                                                                        \
	X(WIRE, 60.0, "wiring by a qualified person, one fan")                                                         \
	X(DOOR, 15.0, "one door or cover")                                                                             \
	X(DOOR_HINGE, 5.0, "one hinge")                                                                                \
	X(TEST, 45.0, "the test after the build")

enum {
#define X(name, minutes, what) RATE_INDEX_##name,
	ORDER_RATES(X)
#undef X
		ORDER_RATE_KINDS
};
typedef struct order_rate {
	const char *name;
	double minutes;
	const char *what;
} order_rate;
extern const order_rate ORDER_RATE[ORDER_RATE_KINDS];
#define RATE(name) (ORDER_RATE[RATE_INDEX_##name].minutes)
#endif
