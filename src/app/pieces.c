#include "pieces-internal.h"

#include "shape-internal.h"

#include <math.h>
#include <string.h>

static void piece_clear(gpointer data)
{
    app_piece *self = data;
    store_scrap_clear(&self->scrap);
    g_clear_pointer(&self->own, store_outline_free);
}

const scrap_outline *app_piece_outline(const app_piece *self)
{
    return store_outline_view(self->own != NULL ? self->own : self->scrap.outline);
}

GArray *app_pieces_new(void)
{
    GArray *pieces = g_array_new(FALSE, TRUE, sizeof(app_piece));
    g_array_set_clear_func(pieces, piece_clear);
    return pieces;
}

static gboolean add_own(GArray *pieces, store_outline *outline)
{
    app_piece piece = { .own = outline };
    if (outline != NULL)
        g_array_append_val(pieces, piece);
    return outline != NULL;
}

gboolean app_pieces_add_scrap(app *self, GArray *pieces, const json_t *item,
                              GError **error)
{
    app_piece piece = { 0 };
    if (!app_scrap_requested(self, item, &piece.scrap, error))
        return FALSE;
    if (piece.scrap.state != STORE_SCRAP_LYING) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_SCRAP_CUT,
                    "Scrap %" PRId64 " doesn't lie there any more.", piece.scrap.id);
        piece_clear(&piece);
        return FALSE;
    }
    g_array_append_val(pieces, piece);
    return TRUE;
}

static gboolean add_all_lying(app *self, GArray *pieces, GError **error)
{
    g_autoptr(GArray) lying = NULL;
    if (app_book(self, error) == NULL ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, 0, 0, &lying, error))
        return FALSE;
    for (guint i = 0; i < lying->len; i++) {
        /* Moved, not copied: the list is freed without it. */
        app_piece piece = { .scrap = g_array_index(lying, store_scrap, i) };
        g_array_index(lying, store_scrap, i) = (store_scrap){ 0 };
        g_array_append_val(pieces, piece);
    }
    return TRUE;
}

static gboolean add_rectangle(const app_call *call, length bare, GArray *pieces,
                              GError **error)
{
    length width, height;
    if (!app_request_size(call, "rect", bare, &width, &height, error))
        return FALSE;
    add_own(pieces, app_outline_of_rectangle(width, height));
    app_piece *piece = &g_array_index(pieces, app_piece, 0);
    piece->width = width;
    piece->height = height;
    return scrap_outline_check(app_piece_outline(piece), error);
}

static gboolean add_asked(app *self, const app_call *call, length bare, GArray *pieces,
                          GError **error)
{
    const json_t *outline = json_object_get(call->request, "outline");
    if (app_request_has(call, "rect"))
        return add_rectangle(call, bare, pieces, error);
    if (outline != NULL)
        return add_own(pieces,
                       json_is_string(outline)
                           ? app_outline_from_file(json_string_value(outline), error)
                           : app_outline_from_json(outline, error));
    if (!app_request_has(call, "scraps"))
        return add_all_lying(self, pieces, error);
    g_autoptr(json_t) ids = app_request_list(call, "scraps");
    for (size_t i = 0; i < json_array_size(ids); i++)
        if (!app_pieces_add_scrap(self, pieces, json_array_get(ids, i), error))
            return FALSE;
    return TRUE;
}

/* ---- Selvages ---- */

/* The straight line along an outline's longest side, moved inward. The cloth ended there,
 * so all of the scrap lies on one side of it. */
typedef struct inward_line {
    scrap_point from, to;
    double x, y;   /* a point on it */
    double nx, ny; /* unit normal, inward */
} inward_line;

static inward_line line_inside(const scrap_outline *outline, length inward)
{
    const scrap_ring *ring = &outline->outer;
    double longest = 0;
    scrap_point a = ring->points[0], b = ring->points[0];
    for (int i = 0; i < ring->count; i++) {
        scrap_point p = ring->points[i], q = ring->points[(i + 1) % ring->count];
        double side = hypot((double)q.x - p.x, (double)q.y - p.y);
        if (side > longest) {
            longest = side;
            a = p;
            b = q;
        }
    }
    /* Inward is to the left of a ring that runs anticlockwise. */
    double way = scrap_ring_area2(ring) > 0 ? 1 : -1;
    double dx = ((double)b.x - a.x) / longest, dy = ((double)b.y - a.y) / longest;
    inward_line line = { .nx = -dy * way, .ny = dx * way };
    line.x = a.x + line.nx * inward;
    line.y = a.y + line.ny * inward;
    double beyond = 2.0 * SCRAP_SIZE_MAX;
    line.from = (scrap_point){ (length)lround(line.x - dx * beyond),
                               (length)lround(line.y - dy * beyond) };
    line.to = (scrap_point){ (length)lround(line.x + dx * beyond),
                             (length)lround(line.y + dy * beyond) };
    return line;
}

static bool lies_inside(const store_outline *part, const inward_line *line)
{
    const scrap_ring *ring = &store_outline_view(part)->outer;
    for (int i = 0; i < ring->count; i++)
        if ((ring->points[i].x - line->x) * line->nx +
                (ring->points[i].y - line->y) * line->ny >
            SCRAP_TOUCH)
            return true;
    return false;
}

static gboolean leave_selvage(app_piece *piece, length selvage, GError **error)
{
    inward_line line = line_inside(app_piece_outline(piece), selvage);
    g_autoptr(GPtrArray) parts =
        app_shape_part(app_piece_outline(piece), line.from, line.to, error);
    for (guint i = 0; parts != NULL && i < parts->len; i++) {
        if (!lies_inside(parts->pdata[i], &line))
            continue;
        store_outline *kept = g_ptr_array_steal_index_fast(parts, i);
        g_clear_pointer(&piece->own, store_outline_free);
        piece->own = kept;
        piece->width = piece->height = 0;
        return TRUE;
    }
    if (parts == NULL)
        g_clear_error(error);
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                        "selvage: it is as wide as the piece; nothing would be left.");
    return FALSE;
}

/* true, or how wide it is. */
static gboolean read_selvage(const app_call *call, const app_cutting *cutting,
                             length bare, length *ret_selvage, GError **error)
{
    *ret_selvage = 0;
    const char *text = app_request_text(call, "selvage");
    if (json_is_true(json_object_get(call->request, "selvage")) ||
        (text != NULL && strcmp(text, "true") == 0)) {
        *ret_selvage = cutting->selvage;
        return TRUE;
    }
    return json_is_false(json_object_get(call->request, "selvage")) ||
           app_request_width(call, "selvage", bare, ret_selvage, error);
}

GArray *app_pieces_requested(app *self, const app_call *call, const app_cutting *cutting,
                             GError **error)
{
    app_settings settings;
    length selvage;
    g_autoptr(GArray) pieces = app_pieces_new();
    if (!app_settings_get(self, &settings, error) ||
        !read_selvage(call, cutting, settings.bare, &selvage, error) ||
        !add_asked(self, call, settings.bare, pieces, error))
        return NULL;
    for (guint i = 0; selvage > 0 && i < pieces->len; i++)
        if (!leave_selvage(&g_array_index(pieces, app_piece, i), selvage, error))
            return NULL;
    return g_steal_pointer(&pieces);
}

/* ---- Documents ---- */

void app_describe_effort(const scrap_effort *effort, json_t *document)
{
    json_object_update_new(
        document, json_pack("{s:i, s:i, s:i, s:i, s:f}", "passes", effort->passes, "cuts",
                            effort->cuts, "turns", effort->turns, "handled",
                            effort->handled, "minutes", effort->minutes));
}

const char *app_use_word(scrap_use use)
{
    static const char *const words[] = { "keep whole", "squares", "string", "too small" };
    return words[use];
}

void app_pieces_describe(const GArray *pieces, json_t *document)
{
    const app_piece *only =
        pieces->len == 1 ? &g_array_index(pieces, app_piece, 0) : NULL;
    if (only == NULL || only->scrap.id != 0)
        return;
    const scrap_ring *outer = &app_piece_outline(only)->outer;
    json_object_set_new(document, "outline_in",
                        app_document_points(outer->count, outer->points));
}
