/* colour/match.h: is it a fabric that is known already? Pure. */
#pragma once

#include "colour/signature.h"

/** What to do about the likeliest fabric. */
typedef enum colour_verdict {
    COLOUR_SAME, /* assign it */
    COLOUR_ASK,  /* show the likeliest, let the maker tap */
    COLOUR_NEW,  /* nothing known comes near */
} colour_verdict;

/** One picture of a fabric that is known; a fabric may have several. */
typedef struct colour_reference {
    int64_t fabric;
    colour_signature signature;
} colour_reference;

typedef struct colour_likely {
    int64_t fabric;
    double alike; /* of its nearest picture, 0 to 1 */
} colour_likely;

enum { COLOUR_LIKELY_MAX = 3 };

typedef struct colour_match {
    int count; /* of likely fabrics, the likeliest first, 0 to 3 */
    colour_likely likely[COLOUR_LIKELY_MAX];
    colour_verdict verdict;
} colour_match;

/**
 * How far two pictures of cloth are apart, 0 and up: by their colours, with the shares
 * evened out, since what tells prints on like grounds apart is their small colours, and
 * with some regard to colours that only one of them shows, since a small piece may miss
 * some of a large print; and by their texture. Without colours it is no less than
 * COLOUR_DISTANCE_MAX.
 */
double colour_match_distance(const colour_signature *a, const colour_signature *b);

/**
 * The three fabrics most like a signature, by colour_match_distance().
 *
 * SAME when the nearest is under 4.5 away and no other fabric within 1.5 of that;
 * ASK up to 10, or when two compete; NEW above, and when there is no reference or no
 * colour. References without colours are passed over.
 *
 * At worst 5 us a reference; one that cannot come among the three is passed over as soon
 * as that is sure, mostly within 1 us (bench/colour). Allocates nothing.
 */
void colour_match_find(const colour_signature *query, int n,
                       const colour_reference *references, colour_match *ret_match);

/** The same for a small piece, such as a patch of a block, which may show only some of
 * the colours of a large print, and whose texture the seams beside it disturb: by colours
 * alone. SAME under 4.6, no other within 1.2; ASK up to 8. */
void colour_match_find_part(const colour_signature *query, int n,
                            const colour_reference *references, colour_match *ret_match);

/**
 * Groups the scraps of one photo by fabric: links those nearer than limit and takes what
 * hangs together, the mean distance between two groups deciding (average linkage).
 *
 * @limit     in colour_match_distance(), or 1.68 times colour_signature_distance() where
 * a texture is not known; 0 or below means the default, 4.2
 * @distance  room for n x n
 * @group     n entries out: 0 and up in order of each group's first scrap
 *
 * Returns the number of groups. O(n^3) at worst, n being the scraps of one photo.
 */
int colour_group(int n, const colour_signature *signatures, double limit,
                 double *distance, int *group);
