#include "document-internal.h"

#include "colour/name.h"
#include "colour/value.h"

json_t *app_document_inches(length x)
{
    return json_real(length_to_inches(x));
}

json_t *app_document_size(length width, length height)
{
    return json_pack("[f, f]", length_to_inches(width), length_to_inches(height));
}

json_t *app_document_points(int count, const scrap_point points[])
{
    json_t *list = json_array();
    for (int i = 0; i < count; i++)
        json_array_append_new(list, app_document_size(points[i].x, points[i].y));
    return list;
}

json_t *app_document_time(int64_t at)
{
    if (at == 0)
        return json_null();
    g_autoptr(GDateTime) time = g_date_time_new_from_unix_utc(at);
    g_autofree char *text = g_date_time_format(time, "%Y-%m-%dT%H:%M:%SZ");
    return json_string(text);
}

json_t *app_document_srgb(const colour_lab *lab)
{
    colour_srgb8 srgb = colour_srgb8_from_lab(*lab);
    return json_pack("[i, i, i]", srgb.r, srgb.g, srgb.b);
}

colour_srgb8 app_document_srgb_of(const json_t *document)
{
    int r, g, b;
    if (json_unpack((json_t *)(uintptr_t)document, "{s:[i, i, i]}", "srgb", &r, &g, &b) !=
        0)
        return (colour_srgb8){ 200, 200, 200 };
    return (colour_srgb8){ (uint8_t)r, (uint8_t)g, (uint8_t)b };
}

json_t *app_document_colours(const colour_signature *signature)
{
    json_t *list = json_array();
    for (int i = 0; i < signature->count; i++) {
        const colour_lab *lab = &signature->lab[i];
        char name[COLOUR_NAME_SIZE];
        json_array_append_new(
            list, json_pack("{s:[f,f,f], s:o, s:f, s:s}", "lab", lab->l, lab->a, lab->b,
                            "srgb", app_document_srgb(lab), "share", signature->share[i],
                            "name", colour_name(lab, name)));
    }
    return list;
}

json_t *app_document_value(int value)
{
    return value < 0 ? json_null() : json_string(colour_value_text((colour_value)value));
}

json_t *app_document_id(int64_t id)
{
    return id == 0 ? json_null() : json_integer(id);
}

json_t *app_document_done(const char *what)
{
    return json_pack("{s:s}", "done", what);
}

char *app_document_count(int64_t count, const char *word)
{
    return g_strdup_printf("%" PRId64 " %s%s", count, word, count == 1 ? "" : "s");
}
