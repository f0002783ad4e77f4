#include "shares-internal.h"

#include "fabric-internal.h"

#include "store/basket.h"

struct app_shares {
    GMutex lock;
    int64_t upto;      /* newest row of the ledger that is taken in */
    GHashTable *known; /* quilt -> kept_shares */
};

/* A quilt that was opened and closed again has another time, so what was remembered of it
 * is not taken for true. */
typedef struct kept_shares {
    int64_t closed;
    int made;
    GArray *shares;
} kept_shares;

static void kept_free(gpointer data)
{
    kept_shares *kept = data;
    g_array_unref(kept->shares);
    g_free(kept);
}

app_shares *app_shares_new(void)
{
    app_shares *self = g_new0(app_shares, 1);
    g_mutex_init(&self->lock);
    self->known = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, kept_free);
    return self;
}

void app_shares_free(app_shares *self)
{
    g_hash_table_unref(self->known);
    g_mutex_clear(&self->lock);
    g_free(self);
}

void app_shares_forget(app *self)
{
    g_mutex_lock(&self->shares->lock);
    g_hash_table_remove_all(self->shares->known);
    self->shares->upto = 0;
    g_mutex_unlock(&self->shares->lock);
}

gboolean app_shares_refresh(app *self, GError **error)
{
    int64_t newest;
    g_autoptr(GArray) quilts = NULL;
    app_shares *shares = self->shares;
    if (!store_ledger_newest(self->book, &newest, error))
        return FALSE;
    g_mutex_lock(&shares->lock);
    int64_t upto = shares->upto;
    bool all = newest < upto || g_hash_table_size(shares->known) == 0;
    if (all)
        g_hash_table_remove_all(shares->known);
    shares->upto = newest;
    g_mutex_unlock(&shares->lock);
    if (all)
        return TRUE;
    if (!store_ledger_quilts(self->book, upto, &quilts, error)) {
        app_shares_forget(self);
        return FALSE;
    }
    g_mutex_lock(&shares->lock);
    for (guint i = 0; i < quilts->len; i++)
        g_hash_table_remove(shares->known, &g_array_index(quilts, int64_t, i));
    g_mutex_unlock(&shares->lock);
    return TRUE;
}

static GArray *remembered(app_shares *self, const store_quilt_line *quilt,
                          int64_t *ret_upto)
{
    g_mutex_lock(&self->lock);
    *ret_upto = self->upto;
    const kept_shares *kept = g_hash_table_lookup(self->known, &quilt->id);
    bool holds =
        kept != NULL && kept->closed == quilt->closed && kept->made == quilt->made;
    GArray *shares = holds ? g_array_ref(kept->shares) : NULL;
    g_mutex_unlock(&self->lock);
    return shares;
}

/* Unless rows were taken in since, which what was added up may lack. */
static void remember(app_shares *self, const store_quilt_line *quilt, GArray *shares,
                     int64_t upto)
{
    g_mutex_lock(&self->lock);
    if (self->upto == upto) {
        kept_shares *kept = g_new(kept_shares, 1);
        *kept = (kept_shares){ quilt->closed, quilt->made, g_array_ref(shares) };
        g_hash_table_replace(self->known, g_memdup2(&quilt->id, sizeof quilt->id), kept);
    }
    g_mutex_unlock(&self->lock);
}

gboolean app_shares_of(app *self, const store_quilt_line *quilt, GArray **ret_shares,
                       GError **error)
{
    int64_t upto = 0;
    GArray *shares = quilt->closed == 0 ? NULL : remembered(self->shares, quilt, &upto);
    if (shares == NULL && !store_quilt_sources(self->book, quilt->id, &shares, error))
        return FALSE;
    if (quilt->closed != 0)
        remember(self->shares, quilt, shares, upto);
    *ret_shares = shares;
    return TRUE;
}

void app_warm(app *self, const atomic_bool *stop)
{
    g_autoptr(GError) ignored = NULL;
    g_autoptr(GArray) quilts = NULL;
    if (!app_shares_refresh(self, &ignored) ||
        !store_quilt_list(self->book, &quilts, &ignored))
        return;
    /* From the other end than the record, so that one asked for meanwhile has half to do.
     */
    for (guint i = quilts->len; i-- > 0 && !atomic_load(stop);) {
        const store_quilt_line *quilt = &g_array_index(quilts, store_quilt_line, i);
        g_autoptr(GArray) shares = NULL;
        if (quilt->closed != 0 && !app_shares_of(self, quilt, &shares, &ignored))
            return;
    }
}

/* --- the document ---------------------------------------------------------------------
 */

json_t *app_shares_document(const GArray *shares, const GArray *sources, guint most)
{
    int64_t all = 0;
    json_t *list = json_array();
    for (guint i = 0; i < shares->len; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        all += share->known + share->inferred;
    }
    for (guint i = 0; i < shares->len && i < most; i++) {
        const store_share *share = &g_array_index(shares, store_share, i);
        int64_t squares = share->known + share->inferred;
        g_autofree char *name = app_source_name(sources, share->id);
        json_array_append_new(list,
                              json_pack("{s:s?, s:I, s:f, s:b}", "source", name,
                                        "squares", (json_int_t)squares, "share",
                                        all == 0 ? 0 : (double)squares / (double)all,
                                        "exact", share->inferred == 0));
    }
    return list;
}
