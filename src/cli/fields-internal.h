/* cli/fields-internal.h: what every text asks of a document: its fields, and lengths as
 * people read them. */
#pragma once

#include "base/length.h"

#include <jansson.h>
#include <stdio.h>

static inline const char *text_of(const json_t *object, const char *field)
{
    const json_t *value = json_object_get(object, field);
    return json_is_string(value) ? json_string_value(value) : "";
}

static inline long long whole_of(const json_t *object, const char *field)
{
    return json_integer_value(json_object_get(object, field));
}

static inline double number_of(const json_t *object, const char *field)
{
    return json_number_value(json_object_get(object, field));
}

static inline size_t count_of(const json_t *object, const char *field)
{
    return json_array_size(json_object_get(object, field));
}

static inline const char *plural(long long count)
{
    return count == 1 ? "" : "s";
}

/* Inches of a document as a fraction to the nearest 1/8; rounding is for the eye only. */
static inline const char *inches(double value, char text[static LENGTH_TEXT_SIZE])
{
    return length_text_in(length_from_inches(value), 8, text);
}

static inline double side_of(const json_t *document, const char *name, size_t side)
{
    return json_number_value(json_array_get(json_object_get(document, name), side));
}

/** A line for each warning or note. */
static inline void print_warnings(const json_t *warnings, FILE *out)
{
    size_t i;
    json_t *warning;
    json_array_foreach (warnings, i, warning)
        fprintf(out, "  note: %s\n", text_of(warning, "message"));
}
