#include "base/error.h"

static const struct {
    const char *code;
    int exit_status;
    const char *hint;
} table[] = {
#define MOTLEY_ERROR_ROW(name, code, status, hint) { code, status, hint },
    MOTLEY_ERRORS(MOTLEY_ERROR_ROW)
#undef MOTLEY_ERROR_ROW
};

G_DEFINE_QUARK(motley - error, motley_error)

/* Errors of the libraries below us are faults of ours when they get this far. */
static int row_of(const GError *error)
{
    if (error->domain != MOTLEY_ERROR || error->code < 0 ||
        error->code >= MOTLEY_ERROR_COUNT)
        return MOTLEY_ERROR_INTERNAL;
    return error->code;
}

const char *motley_error_code(const GError *error)
{
    return table[row_of(error)].code;
}

const char *motley_error_hint(const GError *error)
{
    return table[row_of(error)].hint;
}

int motley_error_exit_status(const GError *error)
{
    return table[row_of(error)].exit_status;
}
