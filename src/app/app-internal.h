/* app/app-internal.h: what the actions share. */
#pragma once

#include "app/app.h"
#include "base/error.h"
#include "base/length.h"
#include "draw/words.h"
#include "request-internal.h"
#include "store/book.h"

struct app {
    store_book *book; /* NULL: the program runs without a book */
    char *unopened; /* a book too damaged to open, which is to be brought back; or NULL */
    GMutex alike_lock;  /* guards the table below */
    GHashTable *alikes; /* pair of fabrics -> alikeness; what is in it never changes */
    struct app_shares *shares; /* of quilts (shares.c) */
    GMutex shown_lock;         /* guards the next two */
    GArray *shown;             /* colours of the basket for pictures (show.c), or NULL */
    int64_t shown_revision;    /* of the book, for which they hold */
    struct app_guests *guests; /* whom this run alone knows (guests.c) */
};

/** The book, or NULL with store.no-book. */
store_book *app_book(app *self, GError **error);

/** What the maker has settled, or the defaults. */
typedef struct app_settings {
    length unit;            /* cut size of unit squares */
    length seam;            /* seam allowance */
    length width_of_fabric; /* usable */
    length overage;         /* cloth to spare, of each length bought */
    length binding;         /* cut width of binding strips */
    length_system system;
    draw_language language; /* of what is printed; the page keeps its own words */
    length bare;      /* what a number without a unit counts: an inch or a centimetre */
    length card_line; /* what the card's 100 mm line measures as her printer drew it */
    char paper[16];
} app_settings;

#define APP_CARD_LINE ((length)(100 * LENGTH_MM))

/** The settings; the defaults where there is no book. */
gboolean app_settings_get(app *self, app_settings *ret_settings,
                          GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** An object that owns its reference, so that an early return drops it. */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* The actions, one for each thing that a maker does; app.c has their names. */
app_run app_do_book, app_do_settings, app_do_settings_change;
app_run app_do_measure, app_do_photos, app_do_photo, app_do_photo_forget;
app_run app_do_scraps, app_do_scrap_throw, app_do_scrap_keep, app_do_scrap_mend,
    app_do_scrap_say, app_do_scrap_part, app_do_scrap_join, app_do_scrap_remove,
    app_do_scrap_grow, app_do_scrap_again;
app_run app_do_questions, app_do_photo_settle, app_do_scraps_same, app_do_fabric_same;
app_run app_do_cut, app_do_cut_done;
app_run app_do_basket, app_do_basket_add, app_do_basket_take, app_do_basket_correct,
    app_do_basket_weigh;
app_run app_do_designs, app_do_design, app_do_design_check, app_do_design_add,
    app_do_design_drop;
app_run app_do_plan, app_do_buy, app_do_beds, app_do_bought, app_do_backgrounds,
    app_do_backgrounds_photo, app_do_reuse;
app_run app_do_quilts, app_do_quilt, app_do_quilt_start, app_do_quilt_fabric,
    app_do_quilt_close, app_do_quilt_delete;
app_run app_do_next, app_do_made, app_do_blocks_photo, app_do_blocks_place,
    app_do_patch_say;
app_run app_do_wall, app_do_arrange, app_do_arrange_keep, app_do_place_swap,
    app_do_place_turn, app_do_place_pin;
app_run app_do_forecast, app_do_sew;
app_run app_do_assemble, app_do_assembled, app_do_finish, app_do_finishing;
app_run app_do_fabrics_photo;
app_run app_do_wants, app_do_years, app_do_sources;
app_run app_do_story, app_do_quilt_picture;
app_run app_do_record, app_do_fabrics, app_do_fabric, app_do_fabric_say;
app_run app_do_devices, app_do_open, app_do_pair, app_do_device_claim, app_do_device_drop;
app_run app_do_undo, app_do_redo, app_do_check, app_do_backup, app_do_restore,
    app_do_copies, app_do_copy_restore, app_do_salvage, app_do_export, app_do_import;
app_run app_do_print, app_do_demo, app_do_service;
app_run app_do_tools, app_do_rulers, app_do_ruler_keep, app_do_ruler_drop, app_do_mat_say,
    app_do_times_add;
