#include "document-internal.h"
#include "store/change.h"
#include "store/setting.h"

#include <stddef.h>
#include <string.h>

/* The lengths among the settings. Defaults are common practice of the trade: quarter-inch
 * seams, 40 in of cloth that can be counted on, 2 1/4 in binding. */
static const struct {
    const char *key;
    size_t offset;
    length standard, least, most;
    bool by_mm; /* asked and shown in millimetres, whatever the system */
} lengths[] = {
    { "unit", offsetof(app_settings, unit), 2 * LENGTH_INCH, LENGTH_INCH / 4, LENGTH_M,
      false },
    { "seam", offsetof(app_settings, seam), LENGTH_INCH / 4, LENGTH_INCH / 16,
      2 * LENGTH_INCH, false },
    { "width_of_fabric", offsetof(app_settings, width_of_fabric), 40 * LENGTH_INCH,
      4 * LENGTH_INCH, 5 * LENGTH_M, false },
    { "binding", offsetof(app_settings, binding), LENGTH_INCH * 9 / 4, LENGTH_INCH,
      10 * LENGTH_INCH, false },
    { "card_line", offsetof(app_settings, card_line), APP_CARD_LINE, 80 * LENGTH_MM,
      120 * LENGTH_MM, true },
};

static length *length_at(app_settings *settings, size_t offset)
{
    return (length *)((char *)settings + offset);
}

static void set_system(app_settings *settings, length_system system)
{
    settings->system = system;
    settings->bare = system == LENGTH_METRIC ? LENGTH_CM : LENGTH_INCH;
}

gboolean app_settings_get(app *self, app_settings *ret_settings, GError **error)
{
    app_settings settings = { .paper = "a4" };
    set_system(&settings, LENGTH_INCHES);
    for (size_t i = 0; i < G_N_ELEMENTS(lengths); i++)
        *length_at(&settings, lengths[i].offset) = lengths[i].standard;
    if (self->book == NULL) {
        *ret_settings = settings;
        return TRUE;
    }

    g_autoptr(GArray) said = NULL;
    if (!store_setting_list(self->book, &said, error))
        return FALSE;
    for (guint i = 0; i < said->len; i++) {
        const store_setting *setting = &g_array_index(said, store_setting, i);
        if (strcmp(setting->key, "system") == 0)
            set_system(&settings, strcmp(setting->value, "metric") == 0 ? LENGTH_METRIC
                                                                        : LENGTH_INCHES);
        if (strcmp(setting->key, "paper") == 0)
            g_strlcpy(settings.paper, setting->value, sizeof settings.paper);
        if (strcmp(setting->key, "language") == 0)
            settings.language = draw_language_of(setting->value);
        /* Kept with their unit, so that a change of system changes none of them. What
         * cannot be read leaves the default. */
        for (size_t k = 0; k < G_N_ELEMENTS(lengths); k++)
            if (strcmp(setting->key, lengths[k].key) == 0 &&
                !length_parse_positive(setting->value, LENGTH_INCH,
                                       length_at(&settings, lengths[k].offset), NULL))
                g_debug("setting %s is unreadable", setting->key);
    }
    *ret_settings = settings;
    return TRUE;
}

static const char *setting_or(const GArray *said, const char *key, const char *standard)
{
    for (guint i = 0; said != NULL && i < said->len; i++) {
        const store_setting *setting = &g_array_index(said, store_setting, i);
        if (strcmp(setting->key, key) == 0)
            return setting->value;
    }
    return standard;
}

/* What is shown is what is kept, to the last: in the book's system where that says it
 * exactly, else in the one that does. A quarter inch is no 0.6 cm. */
static void text_exactly(length x, length_system system,
                         char text[static LENGTH_TEXT_SIZE])
{
    bool in_mm = x % LENGTH_MM == 0, in_inches = x % (LENGTH_INCH / 64) == 0;
    if (in_mm != in_inches)
        system = in_mm ? LENGTH_METRIC : LENGTH_INCHES;
    length_text(x, system, 64, text);
}

bool app_in_network(app *self)
{
    g_autoptr(GArray) said = NULL;
    if (self->book == NULL || !store_setting_list(self->book, &said, NULL))
        return false;
    return strcmp(setting_or(said, "network", "off"), "on") == 0;
}

gboolean app_do_settings(app *self, const app_call *call, json_t **ret_document,
                         GError **error)
{
    (void)call;
    app_settings settings;
    if (!app_settings_get(self, &settings, error))
        return FALSE;
    g_autoptr(GArray) said = NULL;
    if (self->book != NULL && !store_setting_list(self->book, &said, error))
        return FALSE;

    json_t *document = json_object();
    for (size_t i = 0; i < G_N_ELEMENTS(lengths); i++) {
        g_autofree char *field = g_strconcat(lengths[i].key, "_in", NULL);
        char text[LENGTH_TEXT_SIZE];
        length x = *length_at(&settings, lengths[i].offset);
        json_object_set_new(document, field, app_document_inches(x));
        if (lengths[i].by_mm)
            g_snprintf(text, sizeof text, "%g mm", length_to_mm(x));
        else
            text_exactly(x, settings.system, text);
        json_object_set_new(document, lengths[i].key, json_string(text));
    }
    json_object_set_new(
        document, "system",
        json_string(settings.system == LENGTH_METRIC ? "metric" : "inches"));
    json_object_set_new(document, "paper", json_string(settings.paper));
    json_object_set_new(document, "language",
                        json_string(setting_or(said, "language", "en")));
    json_object_set_new(document, "network",
                        json_string(setting_or(said, "network", "off")));
    *ret_document = document;
    return TRUE;
}

static gboolean change_length(store_change *change, const app_call *call, length bare,
                              size_t which, GError **error)
{
    const char *key = lengths[which].key;
    length x = lengths[which].standard;
    if (!app_request_length(call, key, lengths[which].by_mm ? LENGTH_MM : bare, &x,
                            error))
        return FALSE;
    if (x < lengths[which].least || x > lengths[which].most) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                    "%s: from %g to %g in.", key, length_to_inches(lengths[which].least),
                    length_to_inches(lengths[which].most));
        return FALSE;
    }
    /* Written in millimetres or inches, whichever is exact in the text. */
    g_autofree char *text = x % LENGTH_MM == 0
                                ? g_strdup_printf("%d mm", x / LENGTH_MM)
                                : g_strdup_printf("%.9f in", length_to_inches(x));
    return store_setting_set(change, key, text, error);
}

static gboolean change_word(store_change *change, const app_call *call, const char *key,
                            const char *const words[], GError **error)
{
    const char *said = app_request_text(call, key);
    if (said == NULL)
        return TRUE;
    for (int i = 0; words[i] != NULL; i++)
        if (strcmp(words[i], said) == 0)
            return store_setting_set(change, key, said, error);
    g_autofree char *all = g_strjoinv(", ", (char **)words);
    g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_APP_FIELD_WRONG,
                "%s: \"%.40s\" is none of %s.", key, said, all);
    return FALSE;
}

gboolean app_do_settings_change(app *self, const app_call *call, json_t **ret_document,
                                GError **error)
{
    static const char *const systems[] = { "inches", "metric", NULL };
    static const char *const papers[] = { "a4", "letter", NULL };
    static const char *const languages[] = { "en", "de", NULL };
    static const char *const networks[] = { "off", "on", NULL };
    app_settings settings;
    if (app_book(self, error) == NULL || !app_settings_get(self, &settings, error))
        return FALSE;
    g_autoptr(store_change) change =
        store_change_begin(self->book, "Changed the settings", error);
    if (change == NULL)
        return FALSE;
    for (size_t i = 0; i < G_N_ELEMENTS(lengths); i++)
        if (app_request_has(call, lengths[i].key) &&
            !change_length(change, call, settings.bare, i, error))
            return FALSE;
    if (!change_word(change, call, "system", systems, error) ||
        !change_word(change, call, "paper", papers, error) ||
        !change_word(change, call, "language", languages, error) ||
        !change_word(change, call, "network", networks, error) ||
        !store_change_commit(change, error))
        return FALSE;
    return app_do_settings(self, call, ret_document, error);
}
