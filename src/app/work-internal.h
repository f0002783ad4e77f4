/* app/work-internal.h: what she says of a quilt while she puts it together and finishes
 * it: measures, steps done, the batting's limit. It stands in the quilt's options under
 * "work", lengths as whole numbers of 1/8128 in. */
#pragma once

#include "laid-internal.h"

/** Zeroed it is empty; free with app_work_clear(). */
typedef struct app_work {
    store_quilt quilt;
    app_laid laid;
    json_t *said;
} app_work;

void app_work_clear(app_work *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(app_work, app_work_clear)

/** The work on the quilt that the field "quilt" names. */
gboolean app_work_requested(app *self, const app_call *call, app_work *ret_work,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Writes it back. Begin the change before reading the work, so that what another device
 * says meanwhile is not lost. */
gboolean app_work_keep(store_change *change, app_work *work,
                       GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Whether a step is ticked. */
bool app_work_is_done(const app_work *self, const char *step);

/** Ticks a step, or takes the tick away. */
void app_work_tick(app_work *self, const char *step, bool done);

/** A length said under a name; 0: none. */
length app_work_length(const app_work *self, const char *name);
void app_work_say_length(app_work *self, const char *name, length said);

/** Width and height said under a name; both 0: none. */
quilt_extent app_work_size(const app_work *self, const char *name);

/** Reads "W x H" of a field into a name; an empty text takes it back. What is absent
 * stays. */
gboolean app_work_read_size(app_work *self, const app_call *call, const char *field,
                            length bare, GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same for one length. @name where it is kept */
gboolean app_work_read_length(app_work *self, const app_call *call, const char *field,
                              const char *name, length bare,
                              GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Reads "step" and "done", of steps that there are. Errors:
 * app.no-step. @steps  NULL-ended; @ret_step borrowed; NULL when none is asked */
gboolean app_work_read_step(app_work *self, const app_call *call,
                            const char *const steps[], const char **ret_step,
                            GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Decimal inches, or null for 0. */
json_t *app_work_inches(length x);
/** [width, height], or null where there is none. */
json_t *app_work_size_document(quilt_extent size);
