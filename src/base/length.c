#include "base/length.h"

#include "base/error.h"

#include <stdio.h>
#include <string.h>

static const struct {
    const char *text;
    length worth;
} units[] = {
    /* Longer spellings first: "mm" before "m". */
    { "inches", LENGTH_INCH }, { "inch", LENGTH_INCH }, { "in", LENGTH_INCH },
    { "\"", LENGTH_INCH },     { "″", LENGTH_INCH },    { "”", LENGTH_INCH },
    { "ft", LENGTH_FOOT },     { "'", LENGTH_FOOT },    { "′", LENGTH_FOOT },
    { "yd", LENGTH_YARD },     { "mm", LENGTH_MM },     { "cm", LENGTH_CM },
    { "m", LENGTH_M },         { "Zoll", LENGTH_INCH }, { "zoll", LENGTH_INCH },
};

static const struct {
    const char *text;
    int numerator, denominator;
} fractions[] = {
    { "½", 1, 2 }, { "¼", 1, 4 }, { "¾", 3, 4 }, { "⅛", 1, 8 }, { "⅜", 3, 8 },
    { "⅝", 5, 8 }, { "⅞", 7, 8 }, { "⅓", 1, 3 }, { "⅔", 2, 3 }, { "⅕", 1, 5 },
    { "⅖", 2, 5 }, { "⅗", 3, 5 }, { "⅘", 4, 5 }, { "⅙", 1, 6 }, { "⅚", 5, 6 },
};

/* A number as it was written: whole + part/parts. */
typedef struct written {
    int64_t whole, part, parts;
} written;

static const char *skip_spaces(const char *at)
{
    while (*at == ' ' || *at == '\t')
        at++;
    return at;
}

/* Reads up to 9 digits, which keeps every product below in 64 bits. NULL when there
 * are none or too many. */
static const char *read_digits(const char *at, int64_t *ret_number, int *ret_count)
{
    int64_t number = 0;
    int count = 0;
    for (; g_ascii_isdigit(*at); at++, count++) {
        if (count == 9)
            return NULL;
        number = 10 * number + (*at - '0');
    }
    if (count == 0)
        return NULL;
    *ret_number = number;
    *ret_count = count;
    return at;
}

static const char *read_fraction_sign(const char *at, written *number)
{
    for (size_t i = 0; i < G_N_ELEMENTS(fractions); i++) {
        if (g_str_has_prefix(at, fractions[i].text)) {
            number->part = fractions[i].numerator;
            number->parts = fractions[i].denominator;
            return at + strlen(fractions[i].text);
        }
    }
    return NULL;
}

/* "1/2" or "1⁄2" */
static const char *read_fraction(const char *at, written *number)
{
    int count;
    at = read_digits(at, &number->part, &count);
    if (at == NULL)
        return NULL;
    if (*at == '/')
        at++;
    else if (g_str_has_prefix(at, "⁄"))
        at += strlen("⁄");
    else
        return NULL;
    at = read_digits(at, &number->parts, &count);
    return at == NULL || number->parts == 0 ? NULL : at;
}

/* Whether a comma parts whole and tenths, as half of the world writes it. Before three
 * digits it may as well part thousands, and nobody knows which was meant. */
static bool is_decimal_comma(int64_t whole, const char *at)
{
    int digits = 0;
    if (*at != ',')
        return false;
    while (g_ascii_isdigit(at[1 + digits]))
        digits++;
    return digits > 0 && (digits != 3 || whole == 0);
}

/* "2", "2.5", "2,5", "2 1/2", "2-1/2", "2½", "2 ½", "1/2", "½"; NULL for anything else.
 */
static const char *read_number(const char *at, written *number)
{
    *number = (written){ 0, 0, 1 };
    const char *after = read_fraction_sign(at, number);
    if (after == NULL)
        after = read_fraction(at, number);
    if (after != NULL)
        return after;

    *number = (written){ 0, 0, 1 };
    int count;
    bool whole = g_ascii_isdigit(*at);
    if (whole) {
        at = read_digits(at, &number->whole, &count);
        if (at == NULL)
            return NULL;
    }
    if (*at == '.' || (whole && is_decimal_comma(number->whole, at))) {
        at = read_digits(at + 1, &number->part, &count);
        for (number->parts = 1; at != NULL && count > 0; count--)
            number->parts *= 10;
        return at;
    }
    if (!whole)
        return NULL;

    const char *fraction = skip_spaces(at);
    after = read_fraction_sign(fraction, number);
    if (after != NULL)
        return after;
    if (*at == '-')
        fraction = at + 1;
    else if (fraction == at || !g_ascii_isdigit(*fraction))
        return at;
    /* A mixed number such as 2 3/2 is more likely a slip than meant. */
    after = read_fraction(fraction, number);
    return after == NULL || number->part >= number->parts ? NULL : after;
}

static const char *read_unit(const char *at, length *worth)
{
    at = skip_spaces(at);
    for (size_t i = 0; i < G_N_ELEMENTS(units); i++) {
        if (g_str_has_prefix(at, units[i].text)) {
            *worth = units[i].worth;
            at += strlen(units[i].text);
            break;
        }
    }
    return skip_spaces(at);
}

gboolean length_parse(const char *text, length bare, length *ret_length, GError **error)
{
    g_assert(bare > 0 && bare <= LENGTH_M);
    const char *at = skip_spaces(text == NULL ? "" : text);
    if (*at == '-' || g_str_has_prefix(at, "−")) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_LENGTH_NOT_POSITIVE,
                    "\"%.40s\" is below zero.", text);
        return FALSE;
    }

    written number;
    length worth = bare;
    at = read_number(at, &number);
    if (at != NULL)
        at = read_unit(at, &worth);
    if (at == NULL || *at != '\0') {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_LENGTH_UNREADABLE,
                    "\"%.40s\" is no length.", text == NULL ? "" : text);
        return FALSE;
    }

    /* Nine digits times 320,000 stays below 2^53: nothing overflows here. */
    int64_t total = number.whole * worth +
                    (2 * number.part * worth + number.parts) / (2 * number.parts);
    if (total > LENGTH_MAX) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_LENGTH_RANGE,
                    "\"%.40s\" is longer than 1 km.", text);
        return FALSE;
    }
    *ret_length = (length)total;
    return TRUE;
}

gboolean length_parse_positive(const char *text, length bare, length *ret_length,
                               GError **error)
{
    length parsed;
    if (!length_parse(text, bare, &parsed, error))
        return FALSE;
    if (parsed == 0) {
        g_set_error(error, MOTLEY_ERROR, MOTLEY_ERROR_LENGTH_NOT_POSITIVE,
                    "\"%.40s\" is nothing.", text);
        return FALSE;
    }
    *ret_length = parsed;
    return TRUE;
}

length length_floor(length x, length step)
{
    return x / step * step;
}

length length_ceil(length x, length step)
{
    return length_floor(x + step - 1, step);
}

length length_round(length x, length step)
{
    return length_floor(x + step / 2, step);
}

double length_to_inches(length x)
{
    return x / 8128.0;
}

double length_to_mm(length x)
{
    return x / 320.0;
}

length length_from_inches(double inches)
{
    double x = inches * 8128.0;
    return (length)(x < 0 ? x - 0.5 : x + 0.5);
}

/* numerator/den inches in lowest terms */
static const char *text_of_parts(int64_t numerator, int64_t den, char *text)
{
    while (den > 1 && numerator % 2 == 0) {
        numerator /= 2;
        den /= 2;
    }
    int64_t whole = numerator / den, part = numerator % den;
    if (part == 0)
        snprintf(text, LENGTH_TEXT_SIZE, "%" PRId64, whole);
    else if (whole == 0)
        snprintf(text, LENGTH_TEXT_SIZE, "%" PRId64 "/%" PRId64, part, den);
    else
        snprintf(text, LENGTH_TEXT_SIZE, "%" PRId64 " %" PRId64 "/%" PRId64, whole, part,
                 den);
    return text;
}

const char *length_text_in(length x, int den, char text[static LENGTH_TEXT_SIZE])
{
    g_assert(x >= 0 && den >= 1 && den <= 64 && (den & (den - 1)) == 0);
    return text_of_parts(((int64_t)x * den + LENGTH_INCH / 2) / LENGTH_INCH, den, text);
}

const char *length_text_yd_up(length x, char text[static LENGTH_TEXT_SIZE])
{
    length eighths = length_ceil(x, LENGTH_YARD / 8) / (LENGTH_YARD / 8);
    text_of_parts(eighths, 8, text);
    strcat(text, " yd");
    return text;
}

const char *length_text_m_up(length x, char text[static LENGTH_TEXT_SIZE])
{
    length steps = length_ceil(x, 5 * LENGTH_CM) / (5 * LENGTH_CM);
    snprintf(text, LENGTH_TEXT_SIZE, "%d.%02d m", steps / 20, steps % 20 * 5);
    return text;
}

const char *length_text(length x, length_system system, int den,
                        char text[static LENGTH_TEXT_SIZE])
{
    if (system == LENGTH_METRIC) {
        length mm = length_round(x, LENGTH_MM) / LENGTH_MM;
        snprintf(text, LENGTH_TEXT_SIZE, "%d.%d cm", mm / 10, mm % 10);
        return text;
    }
    length_text_in(x, den, text);
    strcat(text, " in");
    return text;
}
