#include "shape-internal.h"

#include "base/error.h"

#include <geos_c.h>
#include <math.h>

/* Coordinates are whole length units as doubles: exact, up to 2^53. A unit is 1/8128 in,
 * so areas are in its square. */
static const double least_area =
    APP_SHAPE_LEAST_SQ_IN * (double)LENGTH_INCH * (double)LENGTH_INCH;

/* A context, and everything made in it that has to go in the end. */
typedef struct workshop {
    GEOSContextHandle_t geos;
    GPtrArray *made;
} workshop;

static void workshop_open(workshop *self)
{
    self->geos = GEOS_init_r();
    self->made = g_ptr_array_new();
}

static void workshop_clear(workshop *self)
{
    for (guint i = 0; i < self->made->len; i++)
        GEOSGeom_destroy_r(self->geos, self->made->pdata[i]);
    g_ptr_array_unref(self->made);
    GEOS_finish_r(self->geos);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(workshop, workshop_clear)

/* Takes a geometry into the workshop; NULL (GEOS gave up on it) passes through. */
static GEOSGeometry *mine(workshop *self, GEOSGeometry *geometry)
{
    if (geometry != NULL)
        g_ptr_array_add(self->made, geometry);
    return geometry;
}

static GEOSGeometry *ring_of(workshop *self, const scrap_ring *ring)
{
    unsigned count = (unsigned)ring->count;
    GEOSCoordSequence *points = GEOSCoordSeq_create_r(self->geos, count + 1, 2);
    for (unsigned i = 0; i <= count; i++)
        GEOSCoordSeq_setXY_r(self->geos, points, i, ring->points[i % count].x,
                             ring->points[i % count].y);
    return GEOSGeom_createLinearRing_r(self->geos, points);
}

static GEOSGeometry *polygon_of(workshop *self, const scrap_outline *outline)
{
    g_autofree GEOSGeometry **holes =
        g_new(GEOSGeometry *, (gsize)outline->hole_count + 1);
    for (int i = 0; i < outline->hole_count; i++)
        holes[i] = ring_of(self, &outline->holes[i]);
    return mine(self, GEOSGeom_createPolygon_r(self->geos, ring_of(self, &outline->outer),
                                               holes, (unsigned)outline->hole_count));
}

static GEOSGeometry *line_of(workshop *self, const double at[static 4])
{
    GEOSCoordSequence *points = GEOSCoordSeq_create_r(self->geos, 2, 2);
    GEOSCoordSeq_setXY_r(self->geos, points, 0, at[0], at[1]);
    GEOSCoordSeq_setXY_r(self->geos, points, 1, at[2], at[3]);
    return mine(self, GEOSGeom_createLineString_r(self->geos, points));
}

static double area_of(workshop *self, const GEOSGeometry *geometry)
{
    double area = 0;
    return GEOSArea_r(self->geos, geometry, &area) == 1 ? area : 0;
}

/* --- back to outlines --- */

/* Whether b is a corner at all: off the straight line from a to c by more than rounding
 * explains, or a turning back. */
static bool is_corner(scrap_point a, scrap_point b, scrap_point c)
{
    double ux = c.x - a.x, uy = c.y - a.y, vx = b.x - a.x, vy = b.y - a.y;
    double along = ux * vx + uy * vy, whole = ux * ux + uy * uy;
    if (along <= 0 || along >= whole)
        return true;
    return fabs(ux * vy - uy * vx) > 1.0 * sqrt(whole);
}

/* Rounds a ring, passes over repeated corners and, when straighten is set, those that lie
 * on a straight side. Returns how many corners it has. */
static int read_ring(workshop *self, const GEOSGeometry *ring, bool straighten,
                     GArray *into)
{
    const GEOSCoordSequence *points = GEOSGeom_getCoordSeq_r(self->geos, ring);
    unsigned size = 0;
    GEOSCoordSeq_getSize_r(self->geos, points, &size);
    g_autoptr(GArray) found = g_array_new(FALSE, FALSE, sizeof(scrap_point));
    for (unsigned i = 0; i + 1 < size; i++) {
        double x, y;
        GEOSCoordSeq_getXY_r(self->geos, points, i, &x, &y);
        scrap_point p = { (length)lround(x), (length)lround(y) };
        const scrap_point *last =
            found->len > 0 ? &g_array_index(found, scrap_point, found->len - 1) : NULL;
        if (last == NULL || last->x != p.x || last->y != p.y)
            g_array_append_val(found, p);
    }
    scrap_point *at = (scrap_point *)(void *)found->data;
    guint count = found->len;
    for (guint i = 0; straighten && count > 3 && i < count;) {
        if (is_corner(at[(i + count - 1) % count], at[i], at[(i + 1) % count])) {
            i++;
            continue;
        }
        memmove(at + i, at + i + 1, (count - i - 1) * sizeof *at);
        count--;
        i = i > 0 ? i - 1 : 0;
    }
    g_array_append_vals(into, at, count);
    return (int)count;
}

static store_outline *outline_of(workshop *self, const GEOSGeometry *polygon,
                                 bool straighten)
{
    GEOSGeometry *tidy = mine(self, GEOSGeom_clone_r(self->geos, polygon));
    GEOSNormalize_r(self->geos, tidy);
    g_autoptr(GArray) points = g_array_new(FALSE, FALSE, sizeof(scrap_point));
    int hole_count = GEOSGetNumInteriorRings_r(self->geos, tidy);
    g_autofree scrap_ring *rings = g_new0(scrap_ring, (gsize)hole_count + 1);
    rings[0].count =
        read_ring(self, GEOSGetExteriorRing_r(self->geos, tidy), straighten, points);
    int kept = 0;
    for (int i = 0; i < hole_count; i++) {
        const GEOSGeometry *hole = GEOSGetInteriorRingN_r(self->geos, tidy, i);
        GEOSGeometry *filled =
            mine(self, GEOSGeom_createPolygon_r(
                           self->geos, GEOSGeom_clone_r(self->geos, hole), NULL, 0));
        if (area_of(self, filled) >= least_area)
            rings[++kept].count = read_ring(self, hole, straighten, points);
    }
    const scrap_point *at = (const scrap_point *)(const void *)points->data;
    for (int i = 0; i <= kept; i++) {
        rings[i].points = at;
        at += rings[i].count;
    }
    /* GEOS's normal form runs outer rings clockwise; ours run the other way. */
    for (int i = 0; i <= kept; i++) {
        scrap_point *ring = (scrap_point *)(uintptr_t)rings[i].points;
        bool backwards = (scrap_ring_area2(&rings[i]) < 0) == (i == 0);
        for (int a = 0, b = rings[i].count - 1; backwards && a < b; a++, b--) {
            scrap_point swap = ring[a];
            ring[a] = ring[b];
            ring[b] = swap;
        }
    }
    scrap_outline outline = { rings[0], kept, rings + 1 };
    return store_outline_copy(&outline);
}

/* --- cutting --- */

static gint larger_first(gconstpointer a, gconstpointer b)
{
    int64_t x = scrap_outline_area2(store_outline_view(*(store_outline *const *)a));
    int64_t y = scrap_outline_area2(store_outline_view(*(store_outline *const *)b));
    return (x < y) - (x > y);
}

/* The pieces that a line makes of a polygon: its sides and the line noded together, and
 * the faces between them that lie inside. */
static GPtrArray *faces_of(workshop *self, const GEOSGeometry *polygon,
                           const GEOSGeometry *line)
{
    GPtrArray *faces = g_ptr_array_new();
    GEOSGeometry *sides = mine(self, GEOSBoundary_r(self->geos, polygon));
    GEOSGeometry *net = mine(self, GEOSUnion_r(self->geos, sides, line));
    const GEOSGeometry *const nets[] = { net };
    GEOSGeometry *all =
        net == NULL ? NULL : mine(self, GEOSPolygonize_r(self->geos, nets, 1));
    int count = all == NULL ? 0 : GEOSGetNumGeometries_r(self->geos, all);
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *face = GEOSGetGeometryN_r(self->geos, all, i);
        GEOSGeometry *inside = mine(self, GEOSPointOnSurface_r(self->geos, face));
        if (inside != NULL && GEOSContains_r(self->geos, polygon, inside) == 1 &&
            area_of(self, face) >= least_area)
            g_ptr_array_add(faces, (gpointer)(uintptr_t)face);
    }
    return faces;
}

/* The line from `from` to `to`, drawn on beyond both ends by so many length units. */
static GEOSGeometry *line_beyond(workshop *self, scrap_point from, scrap_point to,
                                 double beyond)
{
    double dx = to.x - from.x, dy = to.y - from.y, by = beyond / hypot(dx, dy);
    const double at[4] = { from.x - by * dx, from.y - by * dy, to.x + by * dx,
                           to.y + by * dy };
    return line_of(self, at);
}

app_shapes *app_shape_part(const scrap_outline *outline, scrap_point from, scrap_point to,
                           GError **error)
{
    g_auto(workshop) shop = { 0 };
    workshop_open(&shop);
    GEOSGeometry *polygon = polygon_of(&shop, outline);
    g_autoptr(GPtrArray) faces = NULL;
    /* A finger stops short of an edge; only when that is not what kept the line from
     * cutting is it drawn on through everything. */
    const double beyond[] = { LENGTH_INCH / 8.0, 2.0 * SCRAP_SIZE_MAX };
    for (size_t i = 0; i < G_N_ELEMENTS(beyond) && (faces == NULL || faces->len < 2) &&
                       (from.x != to.x || from.y != to.y);
         i++) {
        if (faces != NULL)
            g_ptr_array_unref(faces);
        faces = faces_of(&shop, polygon, line_beyond(&shop, from, to, beyond[i]));
    }
    app_shapes *parts =
        g_ptr_array_new_with_free_func((GDestroyNotify)store_outline_free);
    for (guint i = 0; faces != NULL && i < faces->len; i++) {
        store_outline *part = outline_of(&shop, faces->pdata[i], false);
        if (scrap_outline_check(store_outline_view(part), NULL))
            g_ptr_array_add(parts, part);
        else
            store_outline_free(part);
    }
    if (parts->len < 2) {
        g_ptr_array_unref(parts);
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_LINE_MISSES,
                            "The line cuts nothing off the scrap.");
        return NULL;
    }
    g_ptr_array_sort(parts, larger_first);
    return parts;
}

/* --- joining --- */

/* What closing fills between two polygons: grown by half the gap, joined and shrunk back,
 * less what was there; of that, the pieces that touch both. Mitred, so that corners stay
 * corners. */
static GEOSGeometry *bridge_between(workshop *self, const GEOSGeometry *one,
                                    const GEOSGeometry *other, const GEOSGeometry *both)
{
    enum { CORNER_PARTS = 8 };
    const double half = APP_SHAPE_GAP / 2.0, mitre = 2;
    GEOSGeometry *grown =
        mine(self, GEOSBufferWithStyle_r(self->geos, both, half, CORNER_PARTS,
                                         GEOSBUF_CAP_FLAT, GEOSBUF_JOIN_MITRE, mitre));
    GEOSGeometry *closed =
        grown == NULL ? NULL
                      : mine(self, GEOSBufferWithStyle_r(self->geos, grown, -half,
                                                         CORNER_PARTS, GEOSBUF_CAP_FLAT,
                                                         GEOSBUF_JOIN_MITRE, mitre));
    GEOSGeometry *filled =
        closed == NULL ? NULL : mine(self, GEOSDifference_r(self->geos, closed, both));
    GEOSGeometry *joined = mine(self, GEOSGeom_clone_r(self->geos, both));
    int count = filled == NULL ? 0 : GEOSGetNumGeometries_r(self->geos, filled);
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(self->geos, filled, i);
        double from_one = INFINITY, from_other = INFINITY;
        GEOSDistance_r(self->geos, part, one, &from_one);
        GEOSDistance_r(self->geos, part, other, &from_other);
        if (from_one > 1 || from_other > 1)
            continue;
        /* A unit wider, so that rounding leaves no crack along it. */
        GEOSGeometry *wide = mine(
            self, GEOSBufferWithStyle_r(self->geos, part, 1, CORNER_PARTS,
                                        GEOSBUF_CAP_FLAT, GEOSBUF_JOIN_MITRE, mitre));
        GEOSGeometry *more =
            wide == NULL ? NULL : mine(self, GEOSUnion_r(self->geos, joined, wide));
        joined = more != NULL ? more : joined;
    }
    return joined;
}

/* The one polygon of a geometry that is worth being a scrap; NULL when there are more. */
static const GEOSGeometry *only_polygon(workshop *self, const GEOSGeometry *geometry)
{
    const GEOSGeometry *only = NULL;
    int count = GEOSGetNumGeometries_r(self->geos, geometry);
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(self->geos, geometry, i);
        if (area_of(self, part) < least_area)
            continue;
        if (only != NULL)
            return NULL;
        only = part;
    }
    return only;
}

store_outline *app_shape_join(const scrap_outline *one, const scrap_outline *other,
                              GError **error)
{
    g_auto(workshop) shop = { 0 };
    workshop_open(&shop);
    GEOSGeometry *a = polygon_of(&shop, one), *b = polygon_of(&shop, other);
    GEOSGeometry *both = mine(&shop, GEOSUnion_r(shop.geos, a, b));
    const GEOSGeometry *whole = both == NULL ? NULL : only_polygon(&shop, both);
    if (whole == NULL && both != NULL)
        whole = only_polygon(&shop, bridge_between(&shop, a, b, both));
    g_autoptr(store_outline) outline =
        whole == NULL ? NULL : outline_of(&shop, whole, true);
    if (outline == NULL || !scrap_outline_check(store_outline_view(outline), NULL)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_SCRAP_APART,
                            "The two scraps do not lie side by side.");
        return NULL;
    }
    return g_steal_pointer(&outline);
}
