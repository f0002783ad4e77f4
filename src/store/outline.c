#include "store/book-internal.h"
#include "store/scrap.h"

#include <errno.h>
#include <string.h>

struct store_outline {
    scrap_outline view; /* into the two below */
    scrap_ring *rings;  /* the outer ring, then the holes */
    scrap_point *points;
};

const scrap_outline *store_outline_view(const store_outline *outline)
{
    return &outline->view;
}

void store_outline_free(store_outline *outline)
{
    if (outline == NULL)
        return;
    g_free(outline->rings);
    g_free(outline->points);
    g_free(outline);
}

/* Makes an outline of rings that lie one after the other in points; takes both over. */
static store_outline *outline_of(int ring_count, scrap_ring *rings, scrap_point *points)
{
    store_outline *outline = g_new0(store_outline, 1);
    outline->rings = rings;
    outline->points = points;
    for (int ring = 0, first = 0; ring < ring_count; ring++) {
        rings[ring].points = points != NULL ? points + first : NULL;
        first += rings[ring].count;
    }
    outline->view.outer = rings[0];
    outline->view.hole_count = ring_count - 1;
    outline->view.holes = rings + 1;
    return outline;
}

static const scrap_ring *ring_of(const scrap_outline *outline, int ring)
{
    return ring == 0 ? &outline->outer : &outline->holes[ring - 1];
}

store_outline *store_outline_copy(const scrap_outline *outline)
{
    int ring_count = outline->hole_count + 1;
    g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(scrap_point));
    scrap_ring *rings = g_new0(scrap_ring, ring_count);
    for (int ring = 0; ring < ring_count; ring++) {
        const scrap_ring *from = ring_of(outline, ring);
        rings[ring].count = from->count;
        if (from->count > 0)
            g_array_append_vals(points, from->points, (guint)from->count);
    }
    return outline_of(ring_count, rings,
                      (scrap_point *)(void *)g_array_steal(points, NULL));
}

/* --- as text
 * ---------------------------------------------------------------------------------- */

char *store_outline_write(const scrap_outline *outline)
{
    GString *text = g_string_new("[");
    for (int ring = 0; ring <= outline->hole_count; ring++) {
        const scrap_ring *from = ring_of(outline, ring);
        g_string_append(text, ring == 0 ? "[" : ",[");
        for (int i = 0; i < from->count; i++)
            g_string_append_printf(text, "%s[%" PRId32 ",%" PRId32 "]", i == 0 ? "" : ",",
                                   from->points[i].x, from->points[i].y);
        g_string_append_c(text, ']');
    }
    g_string_append_c(text, ']');
    return g_string_free(text, FALSE);
}

static void skip_space(const char **at)
{
    *at += strspn(*at, " \t\r\n");
}

static bool take(const char **at, char sign)
{
    skip_space(at);
    if (**at != sign)
        return false;
    (*at)++;
    return true;
}

static bool take_length(const char **at, length *ret)
{
    skip_space(at);
    if (**at != '-' && !g_ascii_isdigit(**at))
        return false;
    char *end;
    errno = 0;
    gint64 number = g_ascii_strtoll(*at, &end, 10);
    if (end == *at || errno != 0 || number < -LENGTH_MAX || number > LENGTH_MAX)
        return false;
    *at = end;
    *ret = (length)number;
    return true;
}

static bool take_ring(const char **at, GArray *points, int *ret_count)
{
    int count = 0;
    if (!take(at, '['))
        return false;
    if (!take(at, ']')) {
        do {
            scrap_point point;
            if (!take(at, '[') || !take_length(at, &point.x) || !take(at, ',') ||
                !take_length(at, &point.y) || !take(at, ']'))
                return false;
            g_array_append_val(points, point);
            count++;
        } while (take(at, ','));
        if (!take(at, ']'))
            return false;
    }
    *ret_count = count;
    return true;
}

store_outline *store_outline_read(const char *text)
{
    g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(scrap_point));
    g_autoptr(GArray) rings = g_array_new(FALSE, TRUE, sizeof(scrap_ring));
    const char *at = text;
    if (!take(&at, '['))
        return NULL;
    do {
        scrap_ring ring = { 0 };
        if (!take_ring(&at, points, &ring.count))
            return NULL;
        g_array_append_val(rings, ring);
    } while (take(&at, ','));
    if (!take(&at, ']'))
        return NULL;
    skip_space(&at);
    if (*at != '\0')
        return NULL;

    int ring_count = (int)rings->len;
    return outline_of(ring_count, (scrap_ring *)(void *)g_array_steal(rings, NULL),
                      (scrap_point *)(void *)g_array_steal(points, NULL));
}
