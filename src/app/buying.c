/* What was bought already for a quilt, and the fabrics chosen for its roles. */
#include "buying-internal.h"

#include "laid-internal.h"

#include <string.h>

#define BATTING "batting" /* bought too, though no cloth is cut for it */

void app_chosen_clear(app_chosen *self)
{
    for (int role = 0; role < QUILT_ROLES; role++)
        app_look_clear(&self->look[role]);
}

gboolean app_chosen_get(app *self, int64_t quilt, app_chosen *ret_chosen, GError **error)
{
    int64_t fabrics[QUILT_ROLES] = { 0 };
    g_auto(app_chosen) chosen = { 0 };
    if (quilt != 0 && !store_quilt_fabrics(self->book, quilt, fabrics, error))
        return FALSE;
    for (int role = 0; role < QUILT_ROLES; role++)
        if (fabrics[role] != 0 &&
            !app_look_get(self, fabrics[role], &chosen.look[role], error))
            return FALSE;
    *ret_chosen = chosen;
    memset(&chosen, 0, sizeof chosen);
    return TRUE;
}

json_t *app_chosen_document(const app_chosen *chosen)
{
    json_t *document = json_object();
    for (int role = 0; role < QUILT_ROLES; role++)
        if (chosen->look[role].fabric != 0)
            json_object_set_new(document, quilt_role_name((quilt_role)role),
                                app_fabric_document(&chosen->look[role]));
    return document;
}

void app_chosen_names(const app_chosen *chosen, const quilt_shopping *shopping,
                      const char *ret_names[static QUILT_ITEMS_MAX])
{
    memset(ret_names, 0, QUILT_ITEMS_MAX * sizeof ret_names[0]);
    for (int i = 0; i < shopping->item_count; i++) {
        const quilt_item *item = &shopping->items[i];
        if (item->use == QUILT_USE_ROLE && chosen->look[item->role].fabric != 0)
            ret_names[i] = chosen->look[item->role].name;
    }
}

static const store_bought *bought_of(const GArray *bought, const char *item)
{
    for (guint i = 0; i < bought->len; i++) {
        const store_bought *one = &g_array_index(bought, store_bought, i);
        if (strcmp(one->item, item) == 0)
            return one;
    }
    return NULL;
}

/* What is left to buy is rounded up as what is bought in one go is. */
static json_t *bought_document(const store_bought *bought, length need)
{
    char yards[LENGTH_TEXT_SIZE], metres[LENGTH_TEXT_SIZE];
    length so_far = bought == NULL ? 0 : bought->length_bought;
    length left = need > so_far ? need - so_far : 0;
    return json_pack(
        "{s:o, s:b, s:o, s:s, s:s}", "length_in", app_document_inches(so_far), "ticked",
        bought != NULL && bought->ticked, "left_in", app_document_inches(left),
        "left_text", length_text_yd_up(left, yards), "left_metric_text",
        length_text_m_up(left, metres));
}

/* Some is bought and some is not: the rest may come from another dyeing. */
static void note_other_lot(json_t *document, const char *item)
{
    g_autofree char *message = g_strdup_printf(
        "Some of the %s is bought: lay it beside the bolt before you buy the rest.",
        item);
    json_array_append_new(json_object_get(document, "notes"),
                          json_pack("{s:s, s:s, s:s}", "code", "buy.other-lot", "item",
                                    item, "message", message));
}

gboolean app_bought_describe(app *self, int64_t quilt, const quilt_shopping *shopping,
                             json_t *document, GError **error)
{
    g_autoptr(GArray) bought = NULL;
    g_auto(app_chosen) chosen = { 0 };
    if (!store_bought_list(self->book, quilt, &bought, error) ||
        !app_chosen_get(self, quilt, &chosen, error))
        return FALSE;
    for (int i = 0; i < shopping->item_count; i++) {
        const quilt_item *item = &shopping->items[i];
        const char *name = quilt_item_name(item);
        const store_bought *one = bought_of(bought, name);
        json_t *row = json_array_get(json_object_get(document, "items"), (size_t)i);
        json_object_set_new(row, "bought", bought_document(one, item->length_need));
        if (item->use == QUILT_USE_ROLE && chosen.look[item->role].fabric != 0)
            json_object_set_new(row, "fabric",
                                app_fabric_document(&chosen.look[item->role]));
        if (item->use == QUILT_USE_ROLE && one != NULL && one->length_bought > 0 &&
            one->length_bought < item->length_need)
            note_other_lot(document, name);
    }
    const store_bought *batting = bought_of(bought, BATTING);
    json_object_set_new(json_object_get(document, "batting"), "ticked",
                        json_boolean(batting != NULL && batting->ticked));
    return TRUE;
}

static gboolean item_requested(const app_call *call, const quilt_shopping *shopping,
                               const char **ret_item, GError **error)
{
    const char *item;
    if (!app_request_need_text(call, "item", &item, error))
        return FALSE;
    g_autoptr(GString) names = g_string_new(BATTING);
    bool known = strcmp(item, BATTING) == 0;
    for (int i = 0; i < shopping->item_count; i++) {
        const char *name = quilt_item_name(&shopping->items[i]);
        known |= strcmp(name, item) == 0;
        g_string_append_printf(names, ", %s", name);
    }
    if (!known)
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_ITEM,
                    "The list has no line \"%.40s\"; there are %s.", item, names->str);
    else
        *ret_item = item;
    return known;
}

/* "length" is what is bought in all, "more" comes to what was bought before. */
static gboolean read_bought(app *self, const app_call *call, int64_t quilt,
                            store_bought *ret_bought, GError **error)
{
    app_settings settings;
    length more = 0;
    g_autoptr(GArray) before = NULL;
    if (!app_settings_get(self, &settings, error) ||
        !store_bought_list(self->book, quilt, &before, error))
        return FALSE;
    const store_bought *old = bought_of(before, ret_bought->item);
    if (old != NULL) {
        ret_bought->length_bought = old->length_bought;
        ret_bought->ticked = old->ticked;
    }
    if (!app_request_width(call, "length", settings.bare, &ret_bought->length_bought,
                           error) ||
        !app_request_width(call, "more", settings.bare, &more, error))
        return FALSE;
    if (more > LENGTH_MAX - ret_bought->length_bought) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                            "more: over a kilometre in all.");
        return FALSE;
    }
    ret_bought->length_bought += more;
    if (app_request_has(call, "ticked"))
        ret_bought->ticked = app_request_flag(call, "ticked");
    return TRUE;
}

gboolean app_do_bought(app *self, const app_call *call, json_t **ret_document,
                       GError **error)
{
    g_auto(app_laid) laid = { 0 };
    g_auto(store_quilt) quilt = { 0 };
    g_autofree quilt_shopping *shopping = g_new(quilt_shopping, 1);
    const char *item, *name;
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "quilt", &name, error) ||
        !app_shopping(self, call, &laid, &quilt, shopping, error) ||
        !item_requested(call, shopping, &item, error))
        return FALSE;
    store_bought bought = { .item = (char *)item };
    if (!read_bought(self, call, quilt.id, &bought, error))
        return FALSE;
    g_autofree char *what = g_strdup_printf("Noted what is bought of the %s", item);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL || !store_bought_set(change, quilt.id, &bought, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_buy(self, call, ret_document, error);
}

gboolean app_do_quilt_fabric(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    static const char *const roles[] = { "background", "light", "dark", "accent", NULL };
    static const quilt_role role_of[] = { QUILT_BACKGROUND, QUILT_LIGHT, QUILT_DARK,
                                          QUILT_ACCENT };
    int which = 0;
    int64_t fabric = 0;
    g_auto(store_quilt) quilt = { 0 };
    if (!app_quilt_requested(self, call, &quilt, error) ||
        !app_request_word(call, "role", roles, &which, error) ||
        !app_fabric_requested(self, call, "fabric", &fabric, error))
        return FALSE;
    g_autofree char *what =
        g_strdup_printf(fabric != 0 ? "Chose the %s of %s" : "Chose no %s for %s",
                        roles[which], quilt.name);
    g_autoptr(store_change) change = store_change_begin(self->book, what, error);
    if (change == NULL ||
        !store_quilt_set_fabric(change, quilt.id, role_of[which], fabric, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_quilt(self, call, ret_document, error);
}
