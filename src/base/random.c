#include "base/random.h"

#include <math.h>

static uint64_t rotate_left(uint64_t x, int k)
{
    return (x << k) | (x >> (64 - k));
}

void motley_random_seed(motley_random *random, uint64_t seed)
{
    for (int i = 0; i < 4; i++) {
        seed += 0x9e3779b97f4a7c15u;
        uint64_t z = seed;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        random->s[i] = z ^ (z >> 31);
    }
}

uint64_t motley_random_bits(motley_random *random)
{
    uint64_t *s = random->s;
    uint64_t result = rotate_left(s[1] * 5, 7) * 9;
    uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

/* D. Lemire, "Fast random integer generation in an interval", ACM TOMACS 29(1), 2019. */
uint32_t motley_random_below(motley_random *random, uint32_t limit)
{
    uint64_t product = (motley_random_bits(random) >> 32) * limit;
    if ((uint32_t)product < limit) {
        uint32_t threshold = -limit % limit;
        while ((uint32_t)product < threshold)
            product = (motley_random_bits(random) >> 32) * limit;
    }
    return (uint32_t)(product >> 32);
}

double motley_random_unit(motley_random *random)
{
    return (double)(motley_random_bits(random) >> 11) * 0x1.0p-53;
}

double motley_random_normal(motley_random *random)
{
    double u = 1.0 - motley_random_unit(random); /* above 0, so that log() is finite */
    double v = motley_random_unit(random);
    return sqrt(-2.0 * log(u)) * cos(6.283185307179586 * v);
}
