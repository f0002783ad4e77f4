/* gcut: solves a guillotine cutting instance and prints `optimum N` on its last line.
 *
 * usage: gcut FILE [--turn] [--two-stage]
 *
 * FILE is in the OR-Library's format: the number of sizes, the sheet's length and width,
 * then length, width and value of each size. */
#include "base/error.h"
#include "scrap/guillotine.h"

#include <stdio.h>
#include <string.h>

typedef struct instance {
    length width, height;
    int count;
    scrap_want *wants;
} instance;

static bool read_number(FILE *file, int64_t *ret_number)
{
    double number;
    if (fscanf(file, "%lf", &number) != 1 || !(number >= 0 && number <= 1e12))
        return false;
    *ret_number = (int64_t)number;
    return true;
}

static bool read_instance(FILE *file, bool turns, instance *ret_instance)
{
    int64_t count, width, height;
    if (!read_number(file, &count) || !read_number(file, &width) ||
        !read_number(file, &height) || count < 1 || count > 10000 || width > LENGTH_MAX ||
        height > LENGTH_MAX)
        return false;
    ret_instance->wants = g_new0(scrap_want, count);
    for (int i = 0; i < count; i++) {
        int64_t along, across, value;
        if (!read_number(file, &along) || !read_number(file, &across) ||
            !read_number(file, &value) || along > LENGTH_MAX || across > LENGTH_MAX)
            return false;
        ret_instance->wants[i] =
            (scrap_want){ (length)along, (length)across, value, turns };
    }
    ret_instance->width = (length)width;
    ret_instance->height = (length)height;
    ret_instance->count = (int)count;
    return true;
}

static int solve(const instance *in, scrap_stages stages)
{
    g_autoptr(GError) error = NULL;
    gint64 start = g_get_monotonic_time();
    g_autoptr(scrap_guillotine) pattern = scrap_guillotine_best(
        in->width, in->height, in->count, in->wants, stages, &error);
    double seconds = (double)(g_get_monotonic_time() - start) / 1e6;
    if (pattern == NULL || !scrap_guillotine_check(pattern, in->width, in->height,
                                                   in->count, in->wants, &error)) {
        fprintf(stderr, "gcut: %s\n", error->message);
        return 1;
    }
    printf("pieces %d, cuts %d, %.3f s\n", pattern->piece_count, pattern->cut_count,
           seconds);
    printf("optimum %" PRId64 "\n", pattern->value);
    return 0;
}

int main(int argc, char **argv)
{
    bool turns = false;
    scrap_stages stages = SCRAP_STAGES_ANY;
    const char *name = NULL;
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--turn") == 0)
            turns = true;
        else if (strcmp(argv[i], "--two-stage") == 0)
            stages = SCRAP_STAGES_TWO;
        else
            name = argv[i];
    }
    FILE *file = name == NULL ? NULL : fopen(name, "r");
    if (file == NULL) {
        fprintf(stderr, name == NULL ? "usage: gcut FILE [--turn] [--two-stage]\n"
                                     : "gcut: the file cannot be read\n");
        return 2;
    }
    instance in = { 0 };
    int status = 2;
    if (read_instance(file, turns, &in))
        status = solve(&in, stages);
    else
        fprintf(stderr, "gcut: the file is no cutting instance\n");
    fclose(file);
    g_free(in.wants);
    return status;
}
