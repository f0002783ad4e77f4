#include "outline-internal.h"

#include "scrap/outline.h"

#include <math.h>

static gboolean wrong(GError **error, const char *what)
{
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG, "%s", what);
    return FALSE;
}

/* One ring of [x, y] in inches, appended to points. */
static gboolean read_ring(const json_t *ring, GArray *points, int *ret_count,
                          GError **error)
{
    if (!json_is_array(ring))
        return wrong(error, "outline_in: a list of [x, y] in inches is missing.");
    size_t i;
    json_t *pair;
    json_array_foreach (ring, i, pair) {
        const json_t *x = json_array_get(pair, 0), *y = json_array_get(pair, 1);
        if (json_array_size(pair) != 2 || !json_is_number(x) || !json_is_number(y))
            return wrong(error, "outline_in: every point is [x, y] in inches.");
        double limit = length_to_inches(LENGTH_MAX);
        if (!(fabs(json_number_value(x)) < limit) ||
            !(fabs(json_number_value(y)) < limit))
            return wrong(error, "outline_in: a point lies over 1 km away.");
        scrap_point point = { length_from_inches(json_number_value(x)),
                              length_from_inches(json_number_value(y)) };
        g_array_append_val(points, point);
    }
    *ret_count = (int)json_array_size(ring);
    return TRUE;
}

store_outline *app_outline_from_json(const json_t *document, GError **error)
{
    g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(scrap_point));
    const json_t *holes = json_object_get(document, "holes_in");
    size_t hole_count = json_array_size(holes);
    g_autofree int *counts = g_new0(int, hole_count + 1);
    if (!read_ring(json_object_get(document, "outline_in"), points, &counts[0], error))
        return NULL;
    for (size_t i = 0; i < hole_count; i++)
        if (!read_ring(json_array_get(holes, i), points, &counts[i + 1], error))
            return NULL;

    const scrap_point *at = (const scrap_point *)(const void *)points->data;
    g_autofree scrap_ring *rings = g_new0(scrap_ring, hole_count + 1);
    for (size_t i = 0; i <= hole_count; i++) {
        rings[i] = (scrap_ring){ counts[i], at };
        at += counts[i];
    }
    scrap_outline outline = { rings[0], (int)hole_count, rings + 1 };
    return scrap_outline_check(&outline, error) ? store_outline_copy(&outline) : NULL;
}

store_outline *app_outline_from_file(const char *path, GError **error)
{
    json_error_t fault;
    gsize size;
    g_autofree char *text = app_file_read(path, &size, error);
    if (text == NULL)
        return NULL;
    g_autoptr(json_t) document = json_loadb(text, size, 0, &fault);
    if (document == NULL) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "%s: line %d, column %d: %s.", path, fault.line, fault.column,
                    fault.text);
        return NULL;
    }
    store_outline *outline = app_outline_from_json(document, error);
    if (outline == NULL)
        g_prefix_error(error, "%s: ", path);
    return outline;
}

store_outline *app_outline_of_rectangle(length width, length height)
{
    const scrap_point corners[] = {
        { 0, 0 }, { width, 0 }, { width, height }, { 0, height }
    };
    scrap_outline outline = { { 4, corners }, 0, NULL };
    return store_outline_copy(&outline);
}
