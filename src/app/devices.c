#include "devices-internal.h"
#include "document-internal.h"
#include "guests-internal.h"
#include "network-internal.h"

#include "base/secret.h"
#include "draw/qr.h"
#include "store/change.h"
#include "store/setting.h"

#include <string.h>

enum {
    CODE_BYTES = 16, /* nobody guesses 128 bits in five minutes */
    CODE_SIZE = 2 * CODE_BYTES + 1,
    CODE_SECONDS = 5 * 60,
    SEEN_SECONDS = 60 * 60,
    NAME_MOST = 40,
};

static char *sha256_of(const char *text)
{
    return g_compute_checksum_for_string(G_CHECKSUM_SHA256, text, -1);
}

int64_t app_device_of(app *self, const char *token)
{
    int64_t device = 0, seen = 0;
    g_autofree char *hash = sha256_of(token);
    if (self->book == NULL)
        return 0;
    if (app_guests_know(self->guests, hash))
        return APP_DEVICE_GUEST;
    if (!store_device_find(self->book, hash, &device, &seen, NULL) || device == 0)
        return 0;
    if (g_get_real_time() / G_USEC_PER_SEC - seen >= SEEN_SECONDS) {
        /* That it was here matters less than what it wants: a busy book is no matter. */
        g_autoptr(store_change) change = store_change_begin_quiet(self->book, NULL);
        if (change != NULL && store_device_seen(change, device, NULL))
            (void)!store_change_commit(change, NULL);
    }
    return device;
}

/* Who reaches this book: this computer alone ("off"), the network at home too because the
 * setting says so ("on") or because the program was started so ("always"). */
static const char *network_of(app *self, const app_call *call)
{
    if (json_is_true(json_object_get(call->request, "always")))
        return "always";
    return app_in_network(self) ? "on" : "off";
}

/* @here  the device that asks, or 0 */
static gboolean describe(app *self, const app_call *call, json_t **ret_document,
                         GError **error)
{
    g_autoptr(GArray) all = NULL;
    if (!store_device_list(self->book, &all, error))
        return FALSE;
    json_int_t here = json_integer_value(json_object_get(call->request, "here"));
    json_t *devices = json_array();
    for (guint i = 0; i < all->len; i++) {
        const store_device *one = &g_array_index(all, store_device, i);
        if (one->revoked != 0)
            continue;
        json_array_append_new(
            devices,
            json_pack("{s:I, s:s, s:o, s:o, s:b}", "device", (json_int_t)one->id, "name",
                      one->name, "paired", app_document_time(one->created), "seen",
                      app_document_time(one->seen), "here", one->id == here));
    }
    *ret_document =
        json_pack("{s:o, s:s}", "devices", devices, "network", network_of(self, call));
    return TRUE;
}

gboolean app_do_devices(app *self, const app_call *call, json_t **ret_document,
                        GError **error)
{
    return app_book(self, error) != NULL && describe(self, call, ret_document, error);
}

/* Addresses with the code behind #, which no server and no log ever sees. */
static json_t *addresses_with(const char *code, int64_t port)
{
    g_auto(GStrv) found = app_network_addresses();
    json_t *addresses = json_array();
    for (char **one = found; *one != NULL; one++) {
        g_autofree char *address =
            g_strdup_printf("http://%s:%d/#/pair/%s", *one, (int)port, code);
        json_array_append_new(addresses, json_string(address));
    }
    return addresses;
}

/* --- codes --- */

static int64_t code_expires(void)
{
    return g_get_real_time() / G_USEC_PER_SEC + CODE_SECONDS;
}

static gboolean offer(app *self, const char *code, int64_t expires, GError **error)
{
    g_autofree char *hash = sha256_of(code);
    g_autoptr(store_change) change = store_change_begin_quiet(self->book, error);
    return change != NULL && store_pairing_offer(change, hash, expires, error) &&
           store_change_commit(change, error);
}

gboolean app_do_open(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    int64_t port, expires = code_expires();
    if (app_book(self, error) == NULL || !app_port_requested(call, &port, error))
        return FALSE;
    /* Who listens there gets the code. */
    if (!app_listens((uint16_t)port)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NOT_SERVING,
                    "Motley does not listen on port %d.", (int)port);
        return FALSE;
    }
    char code[CODE_SIZE];
    motley_secret(CODE_BYTES, code);
    g_autoptr(GError) failed = NULL;
    if (!offer(self, code, expires, &failed)) {
        if (!json_is_true(json_object_get(call->request, "serves"))) {
            g_propagate_error(error, g_steal_pointer(&failed));
            return FALSE;
        }
        g_autofree char *hash = sha256_of(code);
        app_guests_offer(self->guests, hash, expires);
    }
    *ret_document =
        json_pack("{s:o, s:o}", "address",
                  json_sprintf("http://localhost:%d/#/pair/%s", (int)port, code),
                  "expires", app_document_time(expires));
    return TRUE;
}

gboolean app_do_pair(app *self, const app_call *call, json_t **ret_document,
                     GError **error)
{
    int64_t port, expires = code_expires();
    if (app_book(self, error) == NULL || !app_port_requested(call, &port, error))
        return FALSE;
    const json_t *lan = json_object_get(call->request, "lan");
    if (lan != NULL && !json_is_true(lan)) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NOT_LAN,
                            "Motley answers this machine alone.");
        return FALSE;
    }

    char code[CODE_SIZE];
    motley_secret(CODE_BYTES, code);
    g_autoptr(json_t) addresses = addresses_with(code, port);
    if (json_array_size(addresses) == 0) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_NETWORK,
                            "This machine is in no network.");
        return FALSE;
    }
    if (!offer(self, code, expires, error))
        return FALSE;

    g_auto(GStrv) rows = draw_qr_rows(json_string_value(json_array_get(addresses, 0)));
    json_t *qr = json_array();
    for (char **row = rows; *row != NULL; row++)
        json_array_append_new(qr, json_string(*row));
    *ret_document = json_pack("{s:O, s:o, s:o}", "addresses", addresses, "expires",
                              app_document_time(expires), "qr", qr);
    return TRUE;
}

/* --- devices --- */

/* "phone", or "phone 2" where there is one already. Free with g_free(). */
static char *free_name(const GArray *all, const char *wanted)
{
    for (int n = 1;; n++) {
        g_autofree char *name =
            n == 1 ? g_strdup(wanted) : g_strdup_printf("%s %d", wanted, n);
        bool taken = false;
        for (guint i = 0; i < all->len; i++) {
            const store_device *one = &g_array_index(all, store_device, i);
            taken |= one->revoked == 0 && strcmp(one->name, name) == 0;
        }
        if (!taken)
            return g_steal_pointer(&name);
    }
}

gboolean app_do_device_claim(app *self, const app_call *call, json_t **ret_document,
                             GError **error)
{
    const char *code, *token_sha256;
    const char *wanted = app_request_text(call, "name");
    if (app_book(self, error) == NULL ||
        !app_request_need_text(call, "code", &code, error) ||
        !app_request_need_text(call, "token_sha256", &token_sha256, error))
        return FALSE;
    if (wanted != NULL && g_utf8_strlen(wanted, -1) > NAME_MOST) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "name: up to %d letters.", NAME_MOST);
        return FALSE;
    }
    bool held;
    int64_t device;
    g_autofree char *hash = sha256_of(code);
    if (app_guests_claim(self->guests, hash, token_sha256,
                         g_get_real_time() / G_USEC_PER_SEC)) {
        *ret_document = json_pack("{s:i, s:s}", "device", APP_DEVICE_GUEST, "name",
                                  wanted != NULL ? wanted : "device");
        return TRUE;
    }
    g_autoptr(GArray) all = NULL;
    if (!store_device_list(self->book, &all, error))
        return FALSE;
    g_autofree char *name = free_name(all, wanted != NULL ? wanted : "device");
    g_autoptr(store_change) change = store_change_begin_quiet(self->book, error);
    if (change == NULL || !store_pairing_take(change, hash, &held, error))
        return FALSE;
    if (!held) {
        g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_PAIR_CODE,
                            "This code does not hold, or not any more.");
        return FALSE;
    }
    if (!store_device_add(change, name, token_sha256, &device, error) ||
        !store_change_commit(change, error))
        return FALSE;
    *ret_document = json_pack("{s:I, s:s}", "device", (json_int_t)device, "name", name);
    return TRUE;
}

gboolean app_do_device_drop(app *self, const app_call *call, json_t **ret_document,
                            GError **error)
{
    int64_t device = 0;
    if (app_book(self, error) == NULL ||
        !app_request_int(call, "device", 1, INT64_MAX, &device, error))
        return FALSE;
    g_autoptr(store_change) change = store_change_begin_quiet(self->book, error);
    if (change == NULL)
        return FALSE;
    if (!store_device_revoke(change, device, NULL)) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_NO_DEVICE,
                    "There is no device %d.", (int)device);
        return FALSE;
    }
    return store_change_commit(change, error) &&
           describe(self, call, ret_document, error);
}

/* --- devices of a book that another takes the place of --- */

GArray *app_devices_before(app *self)
{
    g_autoptr(GArray) all = NULL;
    if (self->book == NULL || !store_device_list(self->book, &all, NULL))
        return NULL;
    return g_steal_pointer(&all);
}

void app_devices_keep(app *self, const GArray *before)
{
    if (self->book == NULL || before == NULL)
        return;
    g_autoptr(store_change) change = store_change_begin_quiet(self->book, NULL);
    bool kept = change != NULL;
    for (guint i = before->len; kept && i > 0; i--)
        kept =
            store_device_keep(change, &g_array_index(before, store_device, i - 1), NULL);
    if (kept)
        (void)!store_change_commit(change, NULL);
}
