/* app/shares-internal.h: where the cloth of quilts came from, remembered while the
 * program runs: adding up the ledger of thirty years for every page takes too long. */
#pragma once

#include "app-internal.h"
#include "store/quilt.h"

/** What is remembered. */
typedef struct app_shares app_shares;

app_shares *app_shares_new(void);
void app_shares_free(app_shares *self);

/** Source by source {source, squares, share, exact}, its share of all squares of these.
 * @shares   of store_share by source, most squares first
 * @sources  of store_source, to name them by
 * @most     rows at most */
json_t *app_shares_document(const GArray *shares, const GArray *sources, guint most);

/** Begins a page: lets go of what the ledger has changed since the last one. */
gboolean app_shares_refresh(app *self, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Forgets everything: the book was put in place of another. */
void app_shares_forget(app *self);

/** GArray of store_share by source of a quilt, as store_quilt_sources() gives them; a
 * reference. Those of closed quilts are remembered: their blocks change no more. */
gboolean app_shares_of(app *self, const store_quilt_line *quilt, GArray **ret_shares,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;
