/* colour: what it costs to look a fabric up among many pictures.
 *
 * usage: colour    milliseconds a look-up among 20,000 pictures of 5,000 invented
 *                  fabrics, with textures and without */
#include "base/random.h"
#include "colour/match.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { PICTURES = 20000, EACH = 4, LOOKUPS = 40 };

static colour_signature any_fabric(motley_random *random)
{
    colour_signature s = { .count = 1 + (int)motley_random_below(random, 5) };
    double sum = 0;
    for (int i = 0; i < s.count; i++) {
        s.lab[i] = (colour_lab){ 15 + 75 * motley_random_unit(random),
                                 80 * motley_random_unit(random) - 40,
                                 80 * motley_random_unit(random) - 40 };
        sum += s.share[i] = 0.1 + motley_random_unit(random);
    }
    for (int i = 0; i < s.count; i++)
        s.share[i] /= sum;
    for (int i = 0; i < COLOUR_TEXTURE_STEPS; i++) {
        s.texture.light[i] = (uint8_t)(20 + motley_random_below(random, 150));
        s.texture.chroma[i] = (uint8_t)(20 + motley_random_below(random, 150));
    }
    return s;
}

/* The same in another light. */
static colour_signature seen_again(motley_random *random, colour_signature s)
{
    for (int i = 0; i < s.count; i++)
        s.lab[i].l += 4 * motley_random_unit(random) - 2;
    return s;
}

static double look_up_ms(const colour_reference *known, motley_random *random)
{
    struct timespec from, to;
    clock_gettime(CLOCK_MONOTONIC, &from);
    for (int i = 0; i < LOOKUPS; i++) {
        colour_match match;
        const colour_signature query =
            seen_again(random, known[motley_random_below(random, PICTURES)].signature);
        colour_match_find(&query, PICTURES, known, &match);
    }
    clock_gettime(CLOCK_MONOTONIC, &to);
    return ((double)(to.tv_sec - from.tv_sec) * 1e3 +
            (double)(to.tv_nsec - from.tv_nsec) / 1e6) /
           LOOKUPS;
}

int main(void)
{
    static colour_reference known[PICTURES];
    motley_random random;
    motley_random_seed(&random, 3);
    for (int i = 0; i < PICTURES; i++) {
        known[i].fabric = 1 + i / EACH;
        known[i].signature = i % EACH == 0 ? any_fabric(&random)
                                           : seen_again(&random, known[i - 1].signature);
    }
    printf("among %d pictures: %.1f ms a look-up", PICTURES, look_up_ms(known, &random));
    for (int i = 0; i < PICTURES; i++)
        known[i].signature.texture = (colour_texture){ .light = { 0 } };
    printf(", without textures %.1f ms\n", look_up_ms(known, &random));
    return 0;
}
