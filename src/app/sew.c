/* Sew: the order of piecing, which way to press so that seams nest, what background to
 * cut ahead, and whether her seam is true. */
#include "nest-internal.h"

#include <math.h>
#include <string.h>

enum { NEXT_MAX = 1000, EXCEPTIONS_MAX = 50 };

/* --- one block -----------------------------------------------------------------------
 */

static json_t *piece_document(const quilt_patch *patch)
{
    return patch->split == QUILT_WHOLE
               ? json_string(quilt_role_name((quilt_role)patch->role[0]))
               : json_pack("[s, s]", quilt_role_name((quilt_role)patch->role[0]),
                           quilt_role_name((quilt_role)patch->role[1]));
}

/* Which way the allowances of a row are pressed: with an odd number of rows outward and
 * inward by turns, else right and left (quilt/press.h). */
static const char *row_pressing(int side, int row, bool open)
{
    bool other = row % 2 == 1;
    if (open)
        return "open";
    if (side % 2 == 1)
        return other ? "inward" : "outward";
    return other ? "left" : "right";
}

static const char *long_pressing(int side, bool open)
{
    return open ? "open" : side % 2 == 1 ? "inward" : "down";
}

static json_t *rows_document(const quilt_block *block, bool open)
{
    json_t *rows = json_array();
    for (int r = 0; r < block->side; r++) {
        json_t *pieces = json_array();
        for (int c = 0; c < block->side; c++)
            json_array_append_new(pieces,
                                  piece_document(&block->patches[r * block->side + c]));
        json_array_append_new(rows, json_pack("{s:o, s:s}", "pieces", pieces, "press",
                                              row_pressing(block->side, r, open)));
    }
    return rows;
}

/* A block whose patches are all of one role is cut whole where nobody asks for squares.
 */
static json_t *kinds_document(const app_laid *laid, const int *next_of_kind, bool open)
{
    json_t *list = json_array();
    for (int kind = 0; kind < laid->layout.kinds.count; kind++) {
        const quilt_block *block = app_laid_block(laid, kind);
        if (next_of_kind[kind] == 0)
            continue;
        json_array_append_new(list, json_pack("{s:s, s:i, s:o, s:s}", "kind", block->name,
                                              "blocks", next_of_kind[kind], "rows",
                                              rows_document(block, open), "long",
                                              long_pressing(block->side, open)));
    }
    return list;
}

/* --- cut ahead -----------------------------------------------------------------------
 */

/* Squares of fabrics that are cut for the purpose, not taken from the basket. */
static json_t *cut_document(const app_laid *laid, const int *next_of_kind)
{
    int squares[QUILT_ROLES] = { 0 }, triangles[QUILT_ROLES] = { 0 };
    for (int kind = 0; kind < laid->layout.kinds.count; kind++) {
        const quilt_block *block = app_laid_block(laid, kind);
        for (int i = 0; i < block->side * block->side; i++) {
            const quilt_patch *patch = &block->patches[i];
            if (patch->split == QUILT_WHOLE) {
                squares[patch->role[0]] += next_of_kind[kind];
            } else {
                triangles[patch->role[0]] += next_of_kind[kind];
                triangles[patch->role[1]] += next_of_kind[kind];
            }
        }
    }
    json_t *list = json_array();
    for (int role = 0; role < QUILT_ROLES; role++) {
        bool cut = role == QUILT_BACKGROUND || role == QUILT_ACCENT;
        if (cut && squares[role] > 0)
            json_array_append_new(list, json_pack("{s:s, s:i, s:o, s:s}", "role",
                                                  quilt_role_name((quilt_role)role),
                                                  "count", squares[role], "size_in",
                                                  app_document_inches(laid->frame.unit),
                                                  "for", "squares"));
        /* Two triangles come out of each square. */
        if (triangles[role] > 0)
            json_array_append_new(
                list, json_pack("{s:s, s:i, s:o, s:s}", "role",
                                quilt_role_name((quilt_role)role), "count",
                                (triangles[role] + 1) / 2, "size_in",
                                app_document_inches(app_laid_triangle_cut(laid)), "for",
                                "half-square triangles"));
    }
    return list;
}

/* The next open places in order, by kind. */
static int count_next(const app_wall *wall, int64_t want, int *next_of_kind)
{
    int count = 0;
    for (int place = 0; place < wall->laid.layout.count && count < want; place++)
        if (wall->at[place] < 0) {
            next_of_kind[wall->laid.layout.places[place].kind]++;
            count++;
        }
    return count;
}

/* --- the whole quilt -----------------------------------------------------------------
 */

static double share_of(int64_t part, int64_t all)
{
    return all == 0 ? 1 : (double)part / (double)all;
}

/* Joints that do not nest when all is pressed as usual: where a pin is worth it. */
static json_t *exceptions_document(const app_laid *laid, const app_nest *nest)
{
    static const char *const names[] = { "right", "below" };
    json_t *list = json_array();
    for (int place = 0; place < laid->layout.count; place++)
        for (int k = 0; k < APP_NEST_JOINTS; k++) {
            int row, col;
            if (nest->usual[k][place] != 0 || json_array_size(list) >= EXCEPTIONS_MAX)
                continue;
            app_laid_place_at(laid, place, &row, &col);
            json_array_append_new(
                list, json_pack("{s:[i, i], s:s}", "place", row, col, "joint", names[k]));
        }
    return list;
}

static json_t *ways_document(const app_laid *laid, const app_nest *nest)
{
    json_t *rows = json_array();
    for (int row = 0, place = 0; row < laid->layout.rows; row++) {
        int count;
        json_t *line = json_array();
        quilt_layout_row(&laid->layout, row, &count);
        for (int i = 0; i < count; i++, place++)
            json_array_append_new(line, json_string(app_nest_way(nest->way[place])));
        json_array_append_new(rows, line);
    }
    return rows;
}

static json_t *nesting_document(const app_laid *laid, const app_nest *nest)
{
    return json_pack("{s:i, s:f, s:f, s:i, s:o, s:o}", "joints", nest->joints, "usual",
                     share_of(nest->nested_usual, nest->joints), "solved",
                     share_of(nest->nested, nest->joints), "exceptions",
                     nest->joints - nest->nested_usual, "joints_open",
                     exceptions_document(laid, nest), "ways", ways_document(laid, nest));
}

/* --- the seam test -------------------------------------------------------------------
 */

/* Three strips of the unit's width sewn side by side have two seams: what they measure
 * short or long is four allowances' error. */
static json_t *test_document(const app_laid *laid, length measured)
{
    double unit = length_to_inches(laid->frame.unit);
    double seam = length_to_inches(laid->frame.seam);
    double wanted = 3 * unit - 4 * seam, got = length_to_inches(measured);
    double sewn = (3 * unit - got) / 4;
    const char *verdict = fabs(sewn - seam) < 1.0 / 128 ? "true"
                          : sewn > seam                 ? "too wide"
                                                        : "too narrow";
    return json_pack("{s:f, s:f, s:f, s:f, s:s}", "wanted_in", wanted, "measured_in", got,
                     "sewn_in", sewn, "correction_in", seam - sewn, "verdict", verdict);
}

gboolean app_do_sew(app *self, const app_call *call, json_t **ret_document,
                    GError **error)
{
    g_auto(app_wall) wall = { 0 };
    g_auto(app_work) work = { 0 };
    g_auto(app_nest) nest = { 0 };
    app_settings settings;
    int64_t next = 12;
    length measured = 0;
    if (!app_wall_requested(self, call, &wall, error) ||
        !app_work_requested(self, call, &work, error) ||
        !app_nest_say(&work, call, error) || !app_settings_get(self, &settings, error) ||
        !app_request_int(call, "next", 1, NEXT_MAX, &next, error) ||
        !app_request_length(call, "measured", settings.bare, &measured, error))
        return FALSE;
    if (measured > 3 * wall.laid.frame.unit) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "measured: three strips sewn together are narrower than "
                            "three strips.");
        return FALSE;
    }
    g_autofree int *next_of_kind = g_new0(int, (gsize)wall.laid.layout.kinds.count + 1);
    int count = count_next(&wall, next, next_of_kind);
    length strip = wall.laid.frame.unit;
    app_nest_read(&wall, app_nest_is_open(&work), &nest);
    *ret_document = json_pack(
        "{s:s, s:i, s:o, s:s, s:o, s:o, s:o, s:{s:o, s:o, s:o}, s:o}", "quilt",
        wall.quilt.name, "next", count, "unit_in", app_document_inches(strip), "press",
        app_nest_name(nest.open), "kinds",
        kinds_document(&wall.laid, next_of_kind, nest.open), "cut",
        cut_document(&wall.laid, next_of_kind), "nesting",
        nesting_document(&wall.laid, &nest), "seam_test", "strip_in",
        app_document_inches(strip), "seam_in", app_document_inches(wall.laid.frame.seam),
        "wanted_in", app_document_inches(3 * strip - 4 * wall.laid.frame.seam), "tested",
        measured == 0 ? json_null() : test_document(&wall.laid, measured));
    return TRUE;
}
