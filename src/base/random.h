/* base/random.h: seeded random numbers, alike on every machine. Pure. */
#pragma once

#include <stdint.h>

/** State of one stream; copy it to branch. Never all zero: motley_random_seed() sees to
 * that. */
typedef struct motley_random {
    uint64_t s[4];
} motley_random;

/**
 * Starts a stream. Equal seeds give equal numbers for ever.
 * xoshiro256** (D. Blackman, S. Vigna, "Scrambled linear pseudorandom number
 * generators", ACM TOMS 47(4), 2021), its state filled by splitmix64.
 */
void motley_random_seed(motley_random *random, uint64_t seed);

/** 64 random bits. */
uint64_t motley_random_bits(motley_random *random);

/** A whole number in 0 <= n < limit, without bias; limit above 0. */
uint32_t motley_random_below(motley_random *random, uint32_t limit);

/** A number in 0 <= x < 1 with 53 bits. */
double motley_random_unit(motley_random *random);

/** A number from the standard normal distribution (Box and Muller 1958). */
double motley_random_normal(motley_random *random);
