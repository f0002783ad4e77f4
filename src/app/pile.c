/* Sorting the pile: what each scrap that lies there is best for. */
#include "pieces-internal.h"

enum { USES = 4 };

static json_t *scrap_sorted(const store_scrap *scrap, const scrap_plan *plan,
                            const scrap_thresholds *thresholds, scrap_use *ret_use)
{
    const scrap_outline *outline = store_outline_view(scrap->outline);
    scrap_bit bit;
    scrap_use use = scrap_pile_sort(outline, plan, thresholds);
    bool any = scrap_pile_largest(outline, plan->angle_deg, thresholds, &bit);
    *ret_use = use;
    return json_pack("{s:I, s:o, s:i, s:o, s:s, s:i, s:f, s:o}", "scrap",
                     (json_int_t)scrap->id, "photo", app_document_id(scrap->photo),
                     "number", scrap->number, "fabric", app_document_id(scrap->fabric),
                     "use", app_use_word(use), "squares", plan->squares, "minutes",
                     plan->effort.minutes, "holds_in",
                     any ? app_document_size(bit.width, bit.height) : json_null());
}

gboolean app_do_pile(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    app_cutting cutting;
    g_autoptr(GArray) lying = NULL;
    int scraps[USES] = { 0 }, squares[USES] = { 0 };
    if (app_book(self, error) == NULL ||
        !app_counting_requested(self, call, &cutting, error) ||
        !store_scrap_list(self->book, STORE_SCRAP_LYING, 0, 0, &lying, error))
        return FALSE;
    cutting.plan.method = SCRAP_CUT_BEST;
    g_autoptr(json_t) list = json_array();
    for (guint i = 0; i < lying->len; i++) {
        const store_scrap *scrap = &g_array_index(lying, store_scrap, i);
        scrap_use use;
        if (!app_call_step(call, (double)i / lying->len, "Sorting the pile", error))
            return FALSE;
        g_autoptr(scrap_plan) plan =
            scrap_plan_make(store_outline_view(scrap->outline), &cutting.plan, error);
        if (plan == NULL)
            return FALSE;
        json_array_append_new(list, scrap_sorted(scrap, plan, &cutting.thresholds, &use));
        scraps[use]++;
        squares[use] += plan->squares;
    }
    json_t *piles = json_array();
    for (int use = 0; use < USES; use++)
        json_array_append_new(piles, json_pack("{s:s, s:i, s:i}", "use",
                                               app_use_word((scrap_use)use), "scraps",
                                               scraps[use], "squares", squares[use]));
    *ret_document = json_pack("{s:o, s:o, s:o, s:O}", "unit_in",
                              app_document_inches(cutting.plan.unit), "thresholds",
                              app_thresholds_document(&cutting.thresholds), "piles",
                              piles, "scraps", list);
    return TRUE;
}
