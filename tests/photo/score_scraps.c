#include "score_scraps.h"

#include "scrap/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Shapes are compared on a raster of so many pixels an inch, finer than outlines are off:
 * at 40 the overlaps of small scraps strayed by 0.003. */
enum { PER_IN = 120, TRUTH_MAX = 200 };

typedef struct raster {
    int left, top, width, height; /* table frame times PER_IN, y up */
    uint8_t *in;
} raster;

static void fill(raster *r, int n, const double (*p)[2], uint8_t by)
{
    double *cross = malloc(sizeof *cross * (size_t)(n + 1));
    for (int y = 0; y < r->height; y++) {
        double at = (r->top + y + 0.5) / PER_IN;
        int count = 0;
        for (int i = 0, j = n - 1; i < n; j = i++)
            if ((p[i][1] > at) != (p[j][1] > at))
                cross[count++] =
                    p[i][0] + (at - p[i][1]) / (p[j][1] - p[i][1]) * (p[j][0] - p[i][0]);
        for (int i = 1; i < count; i++)
            for (int k = i; k > 0 && cross[k] < cross[k - 1]; k--) {
                double swap = cross[k];
                cross[k] = cross[k - 1];
                cross[k - 1] = swap;
            }
        for (int i = 0; i + 1 < count; i += 2) {
            int x0 = (int)ceil(cross[i] * PER_IN - 0.5) - r->left;
            int x1 = (int)ceil(cross[i + 1] * PER_IN - 0.5) - r->left;
            for (int x = MAX(0, x0); x < MIN(r->width, x1); x++)
                r->in[y * r->width + x] = by;
        }
    }
    free(cross);
}

static raster around(int n, const double (*p)[2])
{
    double x0 = INFINITY, x1 = -INFINITY, y0 = INFINITY, y1 = -INFINITY;
    for (int i = 0; i < n; i++) {
        x0 = fmin(x0, p[i][0]), x1 = fmax(x1, p[i][0]);
        y0 = fmin(y0, p[i][1]), y1 = fmax(y1, p[i][1]);
    }
    raster r = { (int)floor(x0 * PER_IN) - 2, (int)floor(y0 * PER_IN) - 2,
                 (int)ceil((x1 - x0) * PER_IN) + 5, (int)ceil((y1 - y0) * PER_IN) + 5,
                 NULL };
    r.in = calloc((size_t)r.width * (size_t)r.height, 1);
    fill(&r, n, p, 1);
    return r;
}

static double (*ring_points(const scrap_ring *ring))[2]
{
    double(*p)[2] = malloc(sizeof *p * (size_t)MAX(1, ring->count));
    for (int i = 0; i < ring->count; i++) {
        p[i][0] = length_to_inches(ring->points[i].x);
        p[i][1] = length_to_inches(ring->points[i].y);
    }
    return p;
}

static double (*json_points(const json_t *array))[2]
{
    double(*p)[2] = malloc(sizeof *p * (json_array_size(array) + 1));
    for (size_t i = 0; i < json_array_size(array); i++)
        for (size_t k = 0; k < 2; k++)
            p[i][k] = json_number_value(json_array_get(json_array_get(array, i), k));
    return p;
}

static double raster_area(const raster *r)
{
    double n = 0;
    for (int i = 0; i < r->width * r->height; i++)
        n += r->in[i];
    return n / (PER_IN * PER_IN);
}

static double common(const raster *a, const raster *b)
{
    double n = 0;
    int x0 = MAX(a->left, b->left), x1 = MIN(a->left + a->width, b->left + b->width);
    int y0 = MAX(a->top, b->top), y1 = MIN(a->top + a->height, b->top + b->height);
    for (int y = y0; y < y1; y++)
        for (int x = x0; x < x1; x++)
            n += a->in[(y - a->top) * a->width + x - a->left] &
                 b->in[(y - b->top) * b->width + x - b->left];
    return n / (PER_IN * PER_IN);
}

static void take_away(raster *a, const raster *b)
{
    for (int y = MAX(a->top, b->top); y < MIN(a->top + a->height, b->top + b->height);
         y++)
        for (int x = MAX(a->left, b->left);
             x < MIN(a->left + a->width, b->left + b->width); x++)
            if (b->in[(y - b->top) * b->width + x - b->left])
                a->in[(y - a->top) * a->width + x - a->left] = 0;
}

/* Squares of 2 in that the best plan of an outline gives; -1 when it has none. */
static int squares_in(const scrap_outline *outline)
{
    scrap_plan_request request = SCRAP_PLAN_USUAL;
    request.unit = 2 * LENGTH_INCH;
    request.angles =
        SCRAP_ANGLES_FREE; /* the longest side of a ragged truth says nothing */
    request.step_deg = 1;
    g_autoptr(scrap_plan) plan = scrap_plan_make(outline, &request, NULL);
    return plan != NULL ? plan->squares : -1;
}

static int squares_in_truth(const json_t *array)
{
    int n = (int)json_array_size(array);
    g_autofree scrap_point *points = g_new(scrap_point, n + 1);
    for (int i = 0; i < n; i++) {
        const json_t *p = json_array_get(array, (size_t)i);
        points[i] = (scrap_point){
            (length)lround(json_number_value(json_array_get(p, 0)) * LENGTH_INCH),
            (length)lround(json_number_value(json_array_get(p, 1)) * LENGTH_INCH)
        };
    }
    scrap_outline outline = { .outer = { n, points } };
    if (scrap_ring_area2(&outline.outer) < 0)
        for (int i = 0; i < n / 2; i++) {
            scrap_point swap = points[i];
            points[i] = points[n - 1 - i];
            points[n - 1 - i] = swap;
        }
    return squares_in(&outline);
}

/* What lies under another is left out: its plan is of what can be seen. */
static void score_squares(const json_t *scrap, const photo_scrap *found,
                          score_totals *totals)
{
    if (json_array_size(json_object_get(scrap, "lies_under")) > 0)
        return;
    int there = squares_in_truth(json_object_get(scrap, "outline"));
    int got = squares_in(&found->outline);
    totals->plans++;
    totals->plans_exact += got == there;
    totals->plans_near += abs(got - there) <= 1;
    totals->squares_there += there;
    totals->squares_found += got;
}

void score_totals_init(score_totals *totals)
{
    memset(totals, 0, sizeof *totals);
    totals->overlap = g_array_new(FALSE, FALSE, sizeof(double));
    totals->area_error = g_array_new(FALSE, FALSE, sizeof(double));
    totals->bias = g_array_new(FALSE, FALSE, sizeof(double));
    totals->known = g_array_new(FALSE, FALSE, sizeof(score_known));
}

void score_totals_clear(score_totals *totals)
{
    g_array_unref(totals->overlap);
    g_array_unref(totals->area_error);
    g_array_unref(totals->bias);
    g_array_unref(totals->known);
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double quantile(GArray *values, double share)
{
    if (values->len == 0)
        return NAN;
    qsort(values->data, values->len, sizeof(double), by_value);
    return g_array_index(values, double,
                         (guint)fmin(values->len - 1, floor(share * values->len)));
}

static bool lists(const json_t *array, int id)
{
    for (size_t i = 0; i < json_array_size(array); i++)
        if (json_integer_value(json_array_get(array, i)) == id)
            return true;
    return false;
}

void score_scraps(const char *name, const json_t *truth, const photo_scraps *found,
                  bool verbose, score_totals *totals)
{
    const json_t *list = json_object_get(truth, "scraps");
    int n = (int)MIN(json_array_size(list), TRUTH_MAX), m = found->count;
    raster *there = calloc((size_t)n + 1, sizeof *there);
    raster *got = calloc((size_t)m + 1, sizeof *got);
    for (int i = 0; i < n; i++) {
        const json_t *outline =
            json_object_get(json_array_get(list, (size_t)i), "outline");
        double(*p)[2] = json_points(outline);
        there[i] = around((int)json_array_size(outline), (const double(*)[2])p);
        free(p);
    }
    for (int i = 0; i < n; i++) /* what another covers cannot be seen */
        for (int k = 0; k < n; k++) {
            const json_t *scrap = json_array_get(list, (size_t)i);
            const json_t *over = json_array_get(list, (size_t)k);
            if (lists(json_object_get(scrap, "lies_under"),
                      (int)json_integer_value(json_object_get(over, "id"))))
                take_away(&there[i], &there[k]);
        }
    for (int i = 0; i < m; i++) {
        const scrap_outline *o = &found->scrap[i].outline;
        double(*p)[2] = ring_points(&o->outer);
        got[i] = around(o->outer.count, (const double(*)[2])p);
        free(p);
        for (int k = 0; k < o->hole_count; k++) {
            p = ring_points(&o->holes[k]);
            fill(&got[i], o->holes[k].count, (const double(*)[2])p, 0);
            free(p);
        }
    }

    int hits = 0, missed = 0, wrong = 0, split = 0, fused = 0;
    double worst = 1, sum_overlap = 0;
    int *match_of = calloc((size_t)n + 1, sizeof *match_of);
    uint8_t *used = calloc((size_t)m + 1, 1);
    for (int i = 0; i < n; i++) {
        const json_t *scrap = json_array_get(list, (size_t)i);
        int id = (int)json_integer_value(json_object_get(scrap, "id"));
        double far = json_number_value(json_object_get(scrap, "delta_e76_to_surface"));
        double area = raster_area(&there[i]), best = 0;
        int match = -1, parts = 0;
        for (int k = 0; k < m; k++) {
            double both = common(&there[i], &got[k]);
            double overlap = both / (area + raster_area(&got[k]) - both);
            parts += both > 0.15 * area && both > 0.5 * raster_area(&got[k]);
            if (overlap > best) {
                best = overlap;
                match = k;
            }
        }
        bool hit = best >= 0.5;
        match_of[i] = hit ? match : -1;
        split += parts > 1;
        if (area >= 0.5) {
            int *seen = far > 20   ? &totals->far_there
                        : far > 10 ? &totals->near_there
                                   : &totals->faint_there;
            (*seen)++;
            seen = far > 20   ? &totals->far_found
                   : far > 10 ? &totals->near_found
                              : &totals->faint_found;
            *seen += hit;
        }
        if (hit) {
            hits++;
            used[match] = 1;
            worst = fmin(worst, best);
            sum_overlap += best;
            g_array_append_val(totals->overlap, best);
            double measured = (double)found->scrap[match].twice_area / 2 /
                              ((double)LENGTH_INCH * LENGTH_INCH);
            double visible =
                json_number_value(json_object_get(scrap, "visible_area_in2"));
            double bias = measured / visible - 1, error = fabs(bias);
            if (visible >= 1) {
                g_array_append_val(totals->area_error, error);
                g_array_append_val(totals->bias, bias);
            }
            score_squares(scrap, &found->scrap[match], totals);
            score_known known = { .photo = totals->photos,
                                  .group = found->scrap[match].group,
                                  .signature = found->scrap[match].signature };
            g_strlcpy(known.fabric, json_string_value(json_object_get(scrap, "fabric")),
                      sizeof known.fabric);
            g_array_append_val(totals->known, known);
            if (verbose && (best < 0.95 || error > 0.02))
                printf("  %s: scrap %d of %.2f sq in (%.0f away): overlap %.3f, area "
                       "%+.1f %%\n",
                       name, id, area, far, best, 100 * bias);
        } else {
            missed++;
            if (verbose) {
                int by = match >= 0 ? match : 0;
                printf(
                    "  %s: scrap %d of %.2f sq in (%.0f away) missed, best overlap %.2f"
                    " at %.1f, %.1f%s\n",
                    name, id, area, far, best,
                    (double)(there[i].left + there[i].width / 2) / PER_IN,
                    (double)(there[i].top + there[i].height / 2) / PER_IN,
                    match >= 0 && found->scrap[by].on_edge ? " (at the edge)" : "");
            }
        }
        for (int k = 0; k < i; k++) {
            const json_t *other = json_array_get(list, (size_t)k);
            int other_id = (int)json_integer_value(json_object_get(other, "id"));
            if (!lists(json_object_get(scrap, "touches"), other_id) &&
                !lists(json_object_get(scrap, "lies_over"), other_id) &&
                !lists(json_object_get(scrap, "lies_under"), other_id))
                continue;
            totals->touching_there++;
            totals->touching_parted +=
                match_of[i] >= 0 && match_of[k] >= 0 && match_of[i] != match_of[k];
        }
    }
    for (int k = 0; k < m; k++) {
        if (used[k])
            continue;
        double area = raster_area(&got[k]), within = 0;
        for (int i = 0; i < n; i++)
            within = fmax(within, common(&there[i], &got[k]));
        wrong++;
        if (verbose)
            printf("  %s: false piece of %.2f sq in, %.0f %% within a scrap, at %.1f, "
                   "%.1f, sure %.2f doubts %x%s\n",
                   name, area, 100 * within / area,
                   (double)(got[k].left + got[k].width / 2) / PER_IN,
                   (double)(got[k].top + got[k].height / 2) / PER_IN,
                   found->scrap[k].sure, found->scrap[k].doubts,
                   found->scrap[k].on_edge ? " (at the edge)" : "");
    }
    for (int k = 0; k < m; k++) {
        int inside = 0;
        for (int i = 0; i < n; i++)
            inside += common(&there[i], &got[k]) > 0.5 * raster_area(&there[i]);
        fused += inside > 1;
        bool asked = found->scrap[k].doubts & PHOTO_DOUBT_PILE;
        totals->fused_asked += inside > 1 && asked;
        totals->whole_asked += inside <= 1 && asked;
    }
    for (int i = 0; i < found->remark_count; i++)
        totals->maybe += strcmp(found->remark[i].code, "scraps.maybe") == 0;
    totals->photos++;
    totals->false_pieces += wrong;
    totals->split += split;
    totals->fused += fused;
    printf("%-12s %5d %6d %6d %6d %6d %9.4f %9.4f\n", name, hits, missed, wrong, split,
           fused, hits > 0 ? sum_overlap / hits : NAN, worst);
    for (int i = 0; i < n; i++)
        free(there[i].in);
    for (int i = 0; i < m; i++)
        free(got[i].in);
    free(there);
    free(got);
    free(match_of);
    free(used);
}

/* Where as many known fabrics are called new as new ones are called known: the share. */
static double equal_error(const GArray *same, const GArray *other)
{
    for (double d = 0; d < 20 && same->len > 0 && other->len > 0; d += 0.05) {
        int lost = 0, wrong = 0;
        for (guint i = 0; i < same->len; i++)
            lost += g_array_index(same, double, i) > d;
        for (guint i = 0; i < other->len; i++)
            wrong += g_array_index(other, double, i) <= d;
        if ((double)lost / same->len <= (double)wrong / other->len)
            return (double)lost / same->len;
    }
    return NAN;
}

/* Each scrap against all of the other photos. */
static void score_fabrics(const score_totals *totals)
{
    int n = (int)totals->known->len, asked = 0, first = 0, three = 0;
    int assigned = 0, assigned_wrong = 0, called_new = 0;
    int strange = 0, strange_assigned = 0, strange_new = 0;
    const score_known *known = (const score_known *)(void *)totals->known->data;
    colour_reference *references = calloc((size_t)n + 1, sizeof *references);
    colour_reference *strangers = calloc((size_t)n + 1, sizeof *strangers);
    GArray *same = g_array_new(FALSE, FALSE, sizeof(double));
    GArray *other = g_array_new(FALSE, FALSE, sizeof(double));
    GArray *same_pairs = g_array_new(FALSE, FALSE, sizeof(double));
    GArray *other_pairs = g_array_new(FALSE, FALSE, sizeof(double));
    for (int i = 0; i < n; i++) {
        int count = 0, others = 0;
        double nearest_same = INFINITY, nearest_other = INFINITY;
        for (int k = 0; k < n; k++) {
            if (known[k].photo == known[i].photo)
                continue;
            references[count].fabric = (int64_t)g_str_hash(known[k].fabric);
            references[count++].signature = known[k].signature;
            double d = colour_match_distance(&known[i].signature, &known[k].signature);
            bool alike = strcmp(known[i].fabric, known[k].fabric) == 0;
            g_array_append_val(alike ? same_pairs : other_pairs, d);
            if (alike) {
                nearest_same = fmin(nearest_same, d);
            } else {
                nearest_other = fmin(nearest_other, d);
                strangers[others++] = references[count - 1];
            }
        }
        if (isfinite(nearest_other))
            g_array_append_val(other, nearest_other);
        colour_match match;
        colour_match_find(&known[i].signature, others, strangers, &match);
        strange++;
        strange_assigned += match.verdict == COLOUR_SAME;
        strange_new += match.verdict == COLOUR_NEW;
        if (!isfinite(nearest_same))
            continue;
        g_array_append_val(same, nearest_same);
        colour_match_find(&known[i].signature, count, references, &match);
        asked++;
        int64_t right = (int64_t)g_str_hash(known[i].fabric);
        first += match.count > 0 && match.likely[0].fabric == right;
        assigned += match.verdict == COLOUR_SAME;
        assigned_wrong += match.verdict == COLOUR_SAME && match.likely[0].fabric != right;
        called_new += match.verdict == COLOUR_NEW;
        for (int k = 0; k < match.count; k++)
            three += match.likely[k].fabric == right;
    }
    double equal = equal_error(same, other);
    printf("same fabric in another photo: %d asked, first %.1f %%, among three %.1f %%; "
           "new told from known at equal error %.1f %%, pair by pair %.2f %%\n",
           asked, 100.0 * first / asked, 100.0 * three / asked, 100 * equal,
           100 * equal_error(same_pairs, other_pairs));
    printf("of these without asking: %d assigned, %d wrongly; %d called new\n", assigned,
           assigned_wrong, called_new);
    printf(
        "where the fabric is not known: %d asked, %d assigned wrongly, %d called new\n",
        strange, strange_assigned, strange_new);
    free(references);
    free(strangers);
    g_array_unref(same);
    g_array_unref(other);
    g_array_unref(same_pairs);
    g_array_unref(other_pairs);
}

/* Pairs of one photo that are put together, and those of one fabric there. */
static void score_groups(const score_totals *totals)
{
    int there = 0, right = 0, wrong = 0;
    const score_known *known = (const score_known *)(void *)totals->known->data;
    for (guint i = 0; i < totals->known->len; i++)
        for (guint k = 0; k < i; k++) {
            if (known[k].photo != known[i].photo)
                continue;
            bool same = strcmp(known[i].fabric, known[k].fabric) == 0;
            bool linked = known[i].group == known[k].group;
            there += same;
            right += same && linked;
            wrong += !same && linked;
        }
    printf("pairs of one fabric in a photo: %d, put together %d, of other fabrics %d\n",
           there, right, wrong);
}

void score_print(const score_totals *t)
{
    score_fabrics(t);
    score_groups(t);
    printf("squares of 2 in: %d scraps, counted exactly %.1f %%, within one %.1f %%; %d "
           "there, %d counted\n"
           "asked whether it is a pile: %d of those fused, %d whole; something may lie "
           "here: %d\n",
           t->plans, 100.0 * t->plans_exact / MAX(1, t->plans),
           100.0 * t->plans_near / MAX(1, t->plans), t->squares_there, t->squares_found,
           t->fused_asked, t->whole_asked, t->maybe);
    printf(
        "scraps: far %d/%d near %d/%d faint %d/%d, false %.2f a photo, split %d, "
        "fused %d, touching parted %d/%d, overlap median %.4f p5 %.4f, area error median "
        "%.2f %% p95 %.2f %%, bias %+.2f %%\n",
        t->far_found, t->far_there, t->near_found, t->near_there, t->faint_found,
        t->faint_there, (double)t->false_pieces / MAX(1, t->photos), t->split, t->fused,
        t->touching_parted, t->touching_there, quantile(t->overlap, 0.5),
        quantile(t->overlap, 0.05), 100 * quantile(t->area_error, 0.5),
        100 * quantile(t->area_error, 0.95), 100 * quantile(t->bias, 0.5));
}
