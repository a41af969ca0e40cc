/* Numbers that only look like chance: the same on every machine and in every run. Values: no ownership. */
#ifndef ENGINE_CHANCE_H
#define ENGINE_CHANCE_H
#include <stdint.h>

/* A fixed linear congruence (Knuth, MMIX); its high bits are the good ones. */
static inline uint64_t chance_next(uint64_t *seed) {
	*seed = *seed * 6364136223846793005u + 1442695040888963407u;
	return *seed;
}
/* From 0 to below - 1; below > 0. */
static inline uint32_t chance_below(uint64_t *seed, uint32_t below) {
	return (uint32_t)((chance_next(seed) >> 33) % below);
}
#endif
