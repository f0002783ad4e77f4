#include "quilt/catalogue-internal.h"

#include "base/error.h"

#include <string.h>

const quilt_catalogue_entry *quilt_catalogue(int *ret_count)
{
    *ret_count = quilt_catalogue_size;
    return quilt_catalogue_table;
}

static int least(int a, int b, int c)
{
    return MIN(MIN(a, b), c);
}

/* Steps between two names: a letter more, less or another, or two swapped. Both are
 * shorter than QUILT_NAME_SIZE. */
static int steps_between(const char *a, const char *b)
{
    int rows = (int)strlen(a), cols = (int)strlen(b);
    int steps[QUILT_NAME_SIZE][QUILT_NAME_SIZE];
    for (int i = 0; i <= rows; i++)
        steps[i][0] = i;
    for (int j = 0; j <= cols; j++)
        steps[0][j] = j;
    for (int i = 1; i <= rows; i++) {
        for (int j = 1; j <= cols; j++) {
            int other = steps[i - 1][j - 1] + (a[i - 1] != b[j - 1]);
            steps[i][j] = least(steps[i - 1][j] + 1, steps[i][j - 1] + 1, other);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                steps[i][j] = MIN(steps[i][j], steps[i - 2][j - 2] + 1);
        }
    }
    return steps[rows][cols];
}

/* As names are spelt: small letters, and - for blanks. Cut to what a name holds. */
static void spell(const char *from, char to[static QUILT_NAME_SIZE])
{
    int i = 0;
    for (; from[i] != '\0' && i < QUILT_NAME_SIZE - 1; i++)
        to[i] = from[i] == ' ' || from[i] == '_' ? '-' : g_ascii_tolower(from[i]);
    to[i] = '\0';
}

typedef struct near_name {
    const char *name;
    int steps;
} near_name;

static int by_steps(const void *a, const void *b)
{
    const near_name *one = a, *two = b;
    return one->steps != two->steps ? one->steps - two->steps
                                    : strcmp(one->name, two->name);
}

int quilt_catalogue_nearest(const char *name, int most, const char *ret[])
{
    char wanted[QUILT_NAME_SIZE];
    spell(name, wanted);
    int letters = (int)strlen(wanted), count = 0;
    g_autofree near_name *found = g_new(near_name, quilt_catalogue_size);
    for (int i = 0; i < quilt_catalogue_size; i++) {
        const char *known = quilt_catalogue_table[i].name;
        int steps = steps_between(wanted, known);
        const char *part = letters >= 3 ? strstr(known, wanted) : NULL;
        if (part != NULL) /* best as the beginning of a word */
            steps = MIN(steps, part == known || part[-1] == '-' ? 1 : 2);
        /* More than a third of the letters wrong is another word. */
        if (steps <= MAX(2, letters / 3))
            found[count++] = (near_name){ known, steps };
    }
    qsort(found, (size_t)count, sizeof found[0], by_steps);
    count = MIN(count, most);
    for (int i = 0; i < count; i++)
        ret[i] = found[i].name;
    return count;
}

static gboolean refuse_unknown(const char *name, GError **error)
{
    const char *nearest[3];
    int count = quilt_catalogue_nearest(name, 3, nearest);
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_append_printf(text, "no design is called \"%.60s\"", name);
    for (int i = 0; i < count; i++)
        g_string_append_printf(text, "%s%s",
                               i == 0           ? "; nearest are "
                               : i == count - 1 ? " and "
                                                : ", ",
                               nearest[i]);
    g_set_error_literal(error, MOTLEY_ERROR, MOTLEY_ERROR_DESIGN_UNKNOWN, text->str);
    return FALSE;
}

gboolean quilt_catalogue_design(const char *name, quilt_design *ret, GError **error)
{
    for (int i = 0; i < quilt_catalogue_size; i++) {
        const quilt_catalogue_entry *entry = &quilt_catalogue_table[i];
        if (strcmp(entry->name, name) == 0)
            return quilt_design_parse(entry->text, entry->size, entry->name, ret, error);
    }
    return refuse_unknown(name, error);
}
