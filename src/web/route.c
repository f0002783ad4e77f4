#include "web/route-internal.h"

#include <string.h>

static const web_route routes[] = {
    { "GET", "/api/book", WEB_ROUTE_ACTION, "book" },
    { "GET", "/api/events", WEB_ROUTE_CHANGES, NULL },
    { "POST", "/api/undo", WEB_ROUTE_ACTION, "undo" },
    { "POST", "/api/redo", WEB_ROUTE_ACTION, "redo" },
    { "GET", "/api/settings", WEB_ROUTE_ACTION, "settings" },
    { "PUT", "/api/settings", WEB_ROUTE_ACTION, "settings.change" },

    { "GET", "/api/copies", WEB_ROUTE_ACTION, "copies" },
    { "POST", "/api/copies/{copy}/restore", WEB_ROUTE_ACTION, "copy.restore" },
    { "POST", "/api/check", WEB_ROUTE_ACTION, "check" },

    { "GET", "/api/devices", WEB_ROUTE_DEVICES, "devices" },
    { "POST", "/api/pair", WEB_ROUTE_DEVICES, "pair" },
    { "POST", "/api/pair/claim", WEB_ROUTE_CLAIM, "device.claim" },
    { "DELETE", "/api/devices/{device}", WEB_ROUTE_DEVICES, "device.drop" },

    { "GET", "/api/jobs/{job}", WEB_ROUTE_JOB, NULL },
    { "DELETE", "/api/jobs/{job}", WEB_ROUTE_JOB_CANCEL, NULL },
    { "GET", "/api/jobs/{job}/events", WEB_ROUTE_JOB_EVENTS, NULL },

    { "GET", "/api/basket", WEB_ROUTE_ACTION, "basket" },
    { "POST", "/api/basket/add", WEB_ROUTE_ACTION, "basket.add" },
    { "POST", "/api/basket/take", WEB_ROUTE_ACTION, "basket.take" },
    { "POST", "/api/basket/correct", WEB_ROUTE_ACTION, "basket.correct" },

    { "POST", "/api/basket/weigh", WEB_ROUTE_ACTION, "basket.weigh" },

    { "GET", "/api/sources", WEB_ROUTE_ACTION, "sources" },
    { "GET", "/api/tools", WEB_ROUTE_ACTION, "tools" },
    { "PUT", "/api/tools/rulers/{name}", WEB_ROUTE_ACTION, "ruler.keep" },
    { "DELETE", "/api/tools/rulers/{name}", WEB_ROUTE_ACTION, "ruler.drop" },
    { "PUT", "/api/tools/mat", WEB_ROUTE_ACTION, "mat.say" },
    { "PUT", "/api/tools/cutting", WEB_ROUTE_ACTION, "cutting.say" },
    { "POST", "/api/tools/times", WEB_ROUTE_ACTION, "times.add" },
    { "GET", "/api/pile", WEB_ROUTE_ACTION, "pile" },
    { "GET", "/api/rulers", WEB_ROUTE_ACTION, "rulers" },

    { "GET", "/api/photos", WEB_ROUTE_ACTION, "photos" },
    { "PUT", "/api/photos", WEB_ROUTE_PHOTO, "measure" },
    { "GET", "/api/photos/{photo}", WEB_ROUTE_ACTION, "photo" },
    { "DELETE", "/api/photos/{photo}", WEB_ROUTE_ACTION, "photo.forget" },
    { "GET", "/api/photos/{photo}/plan.jpg", WEB_ROUTE_PICTURE, "plan.jpg" },

    { "POST", "/api/photos/{photo}/grow", WEB_ROUTE_ACTION, "scrap.grow" },
    { "POST", "/api/photos/{photo}/settle", WEB_ROUTE_ACTION, "photo.settle" },
    { "GET", "/api/questions", WEB_ROUTE_ACTION, "questions" },

    { "GET", "/api/scraps", WEB_ROUTE_ACTION, "scraps" },
    { "POST", "/api/scraps/join", WEB_ROUTE_ACTION, "scrap.join" },
    { "POST", "/api/scraps/same", WEB_ROUTE_ACTION, "scraps.same" },
    { "DELETE", "/api/scraps/{scrap}", WEB_ROUTE_ACTION, "scrap.remove" },
    { "POST", "/api/scraps/{scrap}/part", WEB_ROUTE_ACTION, "scrap.part" },
    { "POST", "/api/scraps/{scrap}/again", WEB_ROUTE_ACTION, "scrap.again" },
    { "POST", "/api/scraps/{scrap}/throw", WEB_ROUTE_ACTION, "scrap.throw" },
    { "POST", "/api/scraps/{scrap}/keep", WEB_ROUTE_ACTION, "scrap.keep" },
    { "POST", "/api/scraps/{scrap}/say", WEB_ROUTE_ACTION, "scrap.say" },
    { "PUT", "/api/scraps/{scrap}/outline", WEB_ROUTE_ACTION, "scrap.mend" },
    { "POST", "/api/cut", WEB_ROUTE_ACTION, "cut" },
    { "POST", "/api/cut/done", WEB_ROUTE_ACTION, "cut.done" },

    { "GET", "/api/fabrics", WEB_ROUTE_ACTION, "fabrics" },
    { "PUT", "/api/fabrics/photo", WEB_ROUTE_PHOTO, "fabrics.photo" },
    { "GET", "/api/fabrics/{fabric}", WEB_ROUTE_ACTION, "fabric" },
    { "PUT", "/api/fabrics/{fabric}", WEB_ROUTE_ACTION, "fabric.say" },
    { "POST", "/api/fabrics/{fabric}/same", WEB_ROUTE_ACTION, "fabric.same" },
    { "GET", "/api/fabrics/{fabric}/swatch.jpg", WEB_ROUTE_PICTURE, "swatch.jpg" },

    { "GET", "/api/designs", WEB_ROUTE_ACTION, "designs" },
    { "GET", "/api/designs/{design}", WEB_ROUTE_ACTION, "design" },
    { "GET", "/api/designs/{design}/picture.svg", WEB_ROUTE_PICTURE, "design.shown" },
    { "GET", "/api/designs/{design}/small.png", WEB_ROUTE_PICTURE, "design.small" },
    { "POST", "/api/designs", WEB_ROUTE_ACTION, "design.add" },
    { "POST", "/api/designs/check", WEB_ROUTE_ACTION, "design.check" },
    { "DELETE", "/api/designs/{design}", WEB_ROUTE_ACTION, "design.drop" },
    { "GET", "/api/designs/{design}/text", WEB_ROUTE_PICTURE, "design.text" },
    { "GET", "/api/beds", WEB_ROUTE_ACTION, "beds" },
    { "GET", "/api/plan", WEB_ROUTE_ACTION, "plan" },
    { "GET", "/api/plan/picture.svg", WEB_ROUTE_PICTURE, "plan.svg" },
    { "GET", "/api/buy/cloth.svg", WEB_ROUTE_PICTURE, "cloth.svg" },
    { "GET", "/api/buy", WEB_ROUTE_ACTION, "buy" },

    { "GET", "/api/backgrounds", WEB_ROUTE_ACTION, "backgrounds" },
    { "PUT", "/api/backgrounds/photo", WEB_ROUTE_PHOTO, "backgrounds.photo" },
    { "GET", "/api/wants", WEB_ROUTE_ACTION, "wants" },
    { "GET", "/api/reuse", WEB_ROUTE_ACTION, "reuse" },

    { "GET", "/api/quilts", WEB_ROUTE_ACTION, "quilts" },
    { "POST", "/api/quilts", WEB_ROUTE_ACTION, "quilt.start" },
    { "GET", "/api/quilts/{quilt}", WEB_ROUTE_ACTION, "quilt" },
    { "DELETE", "/api/quilts/{quilt}", WEB_ROUTE_ACTION, "quilt.delete" },
    { "POST", "/api/quilts/{quilt}/close", WEB_ROUTE_ACTION, "quilt.close" },
    { "GET", "/api/quilts/{quilt}/next", WEB_ROUTE_ACTION, "next" },
    { "POST", "/api/quilts/{quilt}/next", WEB_ROUTE_ACTION, "next" },
    { "POST", "/api/quilts/{quilt}/made", WEB_ROUTE_ACTION, "made" },
    { "PUT", "/api/quilts/{quilt}/made.photo", WEB_ROUTE_PHOTO, "blocks.photo" },
    { "PUT", "/api/quilts/{quilt}/place.photo", WEB_ROUTE_PHOTO, "blocks.place" },
    { "POST", "/api/blocks/{block}/patch", WEB_ROUTE_ACTION, "patch.say" },
    { "GET", "/api/blocks/{block}/picture.jpg", WEB_ROUTE_PICTURE, "block.jpg" },
    { "GET", "/api/quilts/{quilt}/wall", WEB_ROUTE_ACTION, "wall" },
    { "POST", "/api/quilts/{quilt}/arrange", WEB_ROUTE_ACTION, "arrange" },
    { "POST", "/api/quilts/{quilt}/arrange/keep", WEB_ROUTE_ACTION, "arrange.keep" },
    { "POST", "/api/quilts/{quilt}/swap", WEB_ROUTE_ACTION, "place.swap" },
    { "POST", "/api/quilts/{quilt}/turn", WEB_ROUTE_ACTION, "place.turn" },
    { "POST", "/api/quilts/{quilt}/pin", WEB_ROUTE_ACTION, "place.pin" },
    { "GET", "/api/quilts/{quilt}/sew", WEB_ROUTE_ACTION, "sew" },
    { "GET", "/api/quilts/{quilt}/assemble", WEB_ROUTE_ACTION, "assemble" },
    { "POST", "/api/quilts/{quilt}/assembled", WEB_ROUTE_ACTION, "assembled" },
    { "GET", "/api/quilts/{quilt}/finish", WEB_ROUTE_ACTION, "finish" },
    { "POST", "/api/quilts/{quilt}/finishing", WEB_ROUTE_ACTION, "finishing" },
    { "GET", "/api/quilts/{quilt}/forecast", WEB_ROUTE_ACTION, "forecast" },
    { "GET", "/api/quilts/{quilt}/buy", WEB_ROUTE_ACTION, "buy" },
    { "POST", "/api/quilts/{quilt}/bought", WEB_ROUTE_ACTION, "bought" },
    { "POST", "/api/quilts/{quilt}/fabric", WEB_ROUTE_ACTION, "quilt.fabric" },
    { "GET", "/api/quilts/{quilt}/picture.svg", WEB_ROUTE_PICTURE, "plan.svg" },
    { "GET", "/api/quilts/{quilt}/cloth.svg", WEB_ROUTE_PICTURE, "cloth.svg" },
    { "GET", "/api/quilts/{quilt}/chart.svg", WEB_ROUTE_PICTURE, "chart.shown" },
    { "GET", "/api/quilts/{quilt}/small.png", WEB_ROUTE_PICTURE, "chart.small" },
    { "GET", "/api/quilts/{quilt}/record", WEB_ROUTE_ACTION, "story" },
    { "GET", "/api/quilts/{quilt}/where.svg", WEB_ROUTE_PICTURE, "where.svg" },
    { "PUT", "/api/quilts/{quilt}/picture", WEB_ROUTE_PHOTO, "quilt.picture" },
    { "GET", "/api/quilts/{quilt}/picture.jpg", WEB_ROUTE_PICTURE, "quilt.jpg" },
    { "GET", "/api/years", WEB_ROUTE_ACTION, "years" },
    { "GET", "/api/record", WEB_ROUTE_ACTION, "record" },

    { "GET", "/api/print/{what}.pdf", WEB_ROUTE_SHEET, ".pdf" },
    { "GET", "/api/print/{what}.svg", WEB_ROUTE_SHEET, ".svg" },
    { "GET", "/api/print/{what}.png", WEB_ROUTE_SHEET, ".png" },
};

const web_route *web_routes(size_t *ret_count)
{
    *ret_count = G_N_ELEMENTS(routes);
    return routes;
}

/* Matches one segment with its part of the template, up to its end: plain text, or
 * "{field}" with plain text after it. A field is never empty. */
static gboolean match_segment(const char *part, size_t length, const char *segment,
                              json_t *fields)
{
    if (part[0] != '{')
        return strlen(segment) == length && memcmp(segment, part, length) == 0;

    const char *brace = memchr(part, '}', length);
    size_t rest = (size_t)(part + length - (brace + 1));
    size_t given = strlen(segment);
    if (given <= rest || memcmp(segment + given - rest, brace + 1, rest) != 0)
        return FALSE;
    g_autofree char *name = g_strndup(part + 1, (size_t)(brace - part - 1));
    json_object_set_new(fields, name, json_stringn(segment, given - rest));
    return TRUE;
}

static gboolean match_path(const char *path, char *const *segments, json_t *fields)
{
    while (*path == '/') {
        path++;
        size_t length = strcspn(path, "/");
        if (*segments == NULL || !match_segment(path, length, *segments, fields)) {
            json_object_clear(fields);
            return FALSE;
        }
        path += length;
        segments++;
    }
    if (*segments == NULL)
        return TRUE;
    json_object_clear(fields);
    return FALSE;
}

static gboolean match_method(const char *ours, const char *asked)
{
    return strcmp(ours, asked) == 0 ||
           (strcmp(ours, "GET") == 0 && strcmp(asked, "HEAD") == 0);
}

const web_route *web_route_find(const char *method, char *const *segments, json_t *fields,
                                char **ret_allow)
{
    g_autoptr(GString) allow = g_string_new(NULL);
    for (size_t i = 0; i < G_N_ELEMENTS(routes); i++) {
        if (!match_path(routes[i].path, segments, fields))
            continue;
        if (match_method(routes[i].method, method))
            return &routes[i];
        json_object_clear(fields);
        g_string_append_printf(allow, "%s%s", allow->len > 0 ? ", " : "",
                               strcmp(routes[i].method, "GET") == 0 ? "GET, HEAD"
                                                                    : routes[i].method);
    }
    *ret_allow = allow->len > 0 ? g_strdup(allow->str) : NULL;
    return NULL;
}
