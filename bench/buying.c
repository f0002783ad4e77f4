/* How long the actions of planning take, through app on a demo book: the pictures of the
 * whole catalogue with nothing kept from before, its list, and a plan of 10,000 patches
 * with its buying list.
 *
 *   buying BOOK      a book that motley demo has filled */
#include "app/app.h"

#include <stdio.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static double now_ms(void)
{
    return (double)g_get_monotonic_time() / 1000;
}

static json_t *run(app *book, const char *name, const char *request)
{
    g_autoptr(json_t) fields = json_loads(request, 0, NULL);
    json_t *document = NULL;
    app_call call = { .request = fields };
    GError *error = NULL;
    if (!app_action_find(name)->run(book, &call, &document, &error))
        g_error("%s: %s", name, error->message);
    return document;
}

static double best_of(app *book, const char *name, const char *request, int times)
{
    double best = 1e9;
    for (int i = 0; i < times; i++) {
        double from = now_ms();
        json_decref(run(book, name, request));
        best = MIN(best, now_ms() - from);
    }
    return best;
}

static double draw_catalogue(app *book, const json_t *designs, size_t *ret_bytes)
{
    size_t i;
    json_t *one;
    *ret_bytes = 0;
    double from = now_ms();
    json_array_foreach (json_object_get(designs, "designs"), i, one) {
        const char *type;
        g_autoptr(GError) error = NULL;
        app_call call = { .request = one };
        g_autoptr(GBytes) svg = app_render(book, "design.shown", &call, &type, &error);
        if (svg == NULL)
            g_error("%s", error->message);
        *ret_bytes += g_bytes_get_size(svg);
    }
    return now_ms() - from;
}

int main(int argc, char **argv)
{
    static const char plan[] = "{\"design\": \"lattice-chain\", \"across\": 34,"
                               " \"down\": 33, \"border\": [\"3in\", \"2in accent\"]}";
    g_autoptr(GError) error = NULL;
    g_autoptr(app) book = app_open(argc > 1 ? argv[1] : NULL, APP_OPEN_EXISTING, &error);
    if (book == NULL) {
        fprintf(stderr, "%s\n", error->message);
        return 1;
    }
    size_t bytes;
    g_autoptr(json_t) designs = run(book, "designs", "{}");
    double cold = draw_catalogue(book, designs, &bytes), best = cold;
    for (int i = 0; i < 5; i++)
        best = MIN(best, draw_catalogue(book, designs, &bytes));
    printf("catalogue: %zu pictures %.1f ms cold, %.1f ms best, %zu kB; list %.2f ms\n",
           json_array_size(json_object_get(designs, "designs")), cold, best, bytes / 1000,
           best_of(book, "designs", "{}", 9));
    printf("34 x 33 blocks of 3 x 3 (10,098 patches): plan %.2f ms, buy %.2f ms\n",
           best_of(book, "plan", plan, 9), best_of(book, "buy", plan, 9));
    return 0;
}
