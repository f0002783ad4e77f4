/* The copies of a book, and what was saved of a damaged one. */
#include "text-internal.h"

#include <stdbool.h>

static void print_lines(const json_t *list, FILE *out)
{
    size_t i;
    json_t *one;
    json_array_foreach (list, i, one)
        fprintf(out, "  %s\n", json_string_value(one));
}

void cli_text_copies(const json_t *document, FILE *out)
{
    size_t i;
    json_t *one;
    const char *newest = NULL;
    const json_t *damage = json_object_get(document, "damage");
    const json_t *copies = json_object_get(document, "copies");
    if (json_is_array(damage)) {
        fprintf(out, "The book is damaged:\n");
        print_lines(damage, out);
    }
    json_array_foreach (copies, i, one) {
        const char *name = json_string_value(json_object_get(one, "copy"));
        const char *written = json_string_value(json_object_get(one, "written"));
        bool daily = json_is_true(json_object_get(one, "daily"));
        fprintf(out, "%-32s %.10s  %7.1f MB\n", name, written,
                json_number_value(json_object_get(one, "bytes")) / 1e6);
        if (newest == NULL && daily)
            newest = name;
    }
    if (json_array_size(copies) == 0)
        fprintf(out,
                "There are no copies beside the book. While motley serves it makes one a "
                "day.\n");
    if (newest != NULL)
        fprintf(out, "motley restore %s takes the last daily copy back.\n", newest);
}

void cli_text_salvage(const json_t *document, FILE *out)
{
    const json_t *lost = json_object_get(document, "lost");
    fprintf(out, "%s\n", json_string_value(json_object_get(document, "done")));
    fprintf(out, json_array_size(lost) == 0 ? "Nothing is lost.\n"
                                            : "Lost, or not as it was written:\n");
    print_lines(lost, out);
}
