/* Any bytes as an outline with holes, a unit and tools: refused, or planned, and what is
 * planned passes the checker. */
#include "base/error.h"
#include "scrap/pile.h"

#include <stdlib.h>
#include <string.h>

enum { CORNERS_MAX = 24, HOLES_MAX = 3 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct source {
    const uint8_t *at, *end;
} source;

static int next_byte(source *from)
{
    return from->at < from->end ? *from->at++ : 0;
}

/* Coarse steps make touching and level sides likely, the low byte keeps some uneven. */
static length next_place(source *from)
{
    int high = (int8_t)next_byte(from), low = next_byte(from);
    return high * (LENGTH_INCH / 8) + (low < 192 ? 0 : low);
}

static scrap_ring next_ring(source *from, scrap_point points[CORNERS_MAX])
{
    scrap_ring ring = { next_byte(from) % (CORNERS_MAX + 1), points };
    for (int i = 0; i < ring.count; i++) {
        length x = next_place(from);
        points[i] = (scrap_point){ x, next_place(from) };
    }
    return ring;
}

static void plan_and_check(const scrap_outline *outline,
                           const scrap_plan_request *request)
{
    g_autoptr(scrap_plan) best = NULL;
    g_autoptr(scrap_plan) easiest = NULL;
    g_autoptr(GError) error = NULL;
    if (!scrap_plan_both(outline, request, &best, &easiest, &error)) {
        if (strcmp(motley_error_code(error), "internal") == 0)
            abort();
        return;
    }
    length over = SCRAP_TOUCH + request->slack;
    if (!scrap_plan_check(best, outline, over, &error) ||
        (easiest != NULL && !scrap_plan_check(easiest, outline, over, &error))) {
        g_printerr("%s\n", error->message);
        abort();
    }
    if (best->squares % 4 != 0) /* the rest is slow: not every time */
        return;
    scrap_bit bits[8];
    scrap_pile_leftovers(outline, best, &SCRAP_THRESHOLDS_USUAL, 8, bits);
    scrap_pile_sort(outline, best, &SCRAP_THRESHOLDS_USUAL);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    source from = { data, data + size };
    scrap_point outer[CORNERS_MAX], inner[HOLES_MAX][CORNERS_MAX];
    scrap_ring holes[HOLES_MAX];
    scrap_outline outline = { next_ring(&from, outer), next_byte(&from) % (HOLES_MAX + 1),
                              holes };
    for (int i = 0; i < outline.hole_count; i++)
        holes[i] = next_ring(&from, inner[i]);
    if (!scrap_outline_check(&outline, NULL))
        return 0;

    scrap_plan_request request = SCRAP_PLAN_USUAL;
    scrap_ruler ruler = { (1 + next_byte(&from)) * (LENGTH_INCH / 4),
                          (1 + next_byte(&from)) * (LENGTH_INCH / 4),
                          next_byte(&from) % 40, next_byte(&from) * 127 };
    request.ruler = next_byte(&from) % 2 == 0 ? &SCRAP_RULER_PLAIN : &ruler;
    request.unit = LENGTH_INCH / 2 + next_byte(&from) * (LENGTH_INCH / 8) +
                   next_byte(&from) % 4 * 37;
    request.angles = next_byte(&from) % 2 == 0 ? SCRAP_ANGLES_GRAIN : SCRAP_ANGLES_FREE;
    request.grain_deg = next_byte(&from);
    request.step_deg = 15;
    request.trim = next_byte(&from) % 4 * 50;
    request.slack = next_byte(&from) % 4 * 40;
    plan_and_check(&outline, &request);
    return 0;
}
