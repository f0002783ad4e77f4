/* base/length.h: exact lengths, in inches and in millimetres at once.
 *
 * A length counts 1/8128 in. An inch is 25.4 mm exactly (international yard and pound
 * agreement, Federal Register, 1 July 1959), so a millimetre is 320 of them and a 64th of
 * an inch 127: sums in both systems stay whole numbers. Rounding happens once, where a
 * figure is printed, and upward where it is bought. */
#pragma once

#include <glib.h>
#include <inttypes.h>
#include <stdbool.h>
#include <stdint.h>

typedef int32_t length;

#define LENGTH_INCH ((length)8128)
#define LENGTH_FOOT ((length)(12 * 8128))
#define LENGTH_YARD ((length)(36 * 8128))
#define LENGTH_MM   ((length)320)
#define LENGTH_CM   ((length)3200)
#define LENGTH_M    ((length)320000)
#define LENGTH_MAX  ((length)320000000) /* 1 km; sums of six still fit */

/** How a bare number is read and a length is shown. */
typedef enum length_system { LENGTH_INCHES, LENGTH_METRIC } length_system;

/** A buffer that every text of this header fits in. */
enum { LENGTH_TEXT_SIZE = 64 };

/**
 * Reads a length: `2`, `2.5`, `2,5`, `2 1/2`, `2-1/2`, `2½`, then nothing or one of in,
 * Zoll, ", ″, ft, ', ′, yd, mm, cm, m. Spaces around are allowed; signs, exponents, sums
 * and a comma before three digits, which may part thousands, are not.
 * Decimals and fractions that are no whole number of length units are rounded to the
 * nearest (halves up), so that 1/3 in is 2709.
 *
 * @text       what the maker wrote; NULL is an empty text
 * @bare       what a number without a unit means: LENGTH_INCH, LENGTH_CM, ...
 * @ret_length 0 to LENGTH_MAX; unchanged on error
 *
 * Errors: LENGTH_UNREADABLE with the text, LENGTH_RANGE.
 */
gboolean length_parse(const char *text, length bare, length *ret_length,
                      GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** The same, refusing 0 with LENGTH_NOT_POSITIVE. */
gboolean length_parse_positive(const char *text, length bare, length *ret_length,
                               GError **error) G_GNUC_WARN_UNUSED_RESULT;

/** Smallest multiple of step that is not below x; x >= 0, step > 0. */
length length_ceil(length x, length step);

/** Largest multiple of step that is not above x; x >= 0, step > 0. */
length length_floor(length x, length step);

/** Nearest multiple of step, halves up; x >= 0, step > 0. */
length length_round(length x, length step);

/** For JSON and drawing only. */
double length_to_inches(length x);
double length_to_mm(length x);

/** Nearest length to so many inches; for figures that come from a picture. */
length length_from_inches(double inches);

/**
 * Writes inches with a fraction in lowest terms, to the nearest 1/den: "4", "2 1/2",
 * "7/8". den is a power of two up to 64. Returns text.
 */
const char *length_text_in(length x, int den, char text[static LENGTH_TEXT_SIZE]);

/** "4 1/8 yd": yards, up to the next 1/8. Returns text. */
const char *length_text_yd_up(length x, char text[static LENGTH_TEXT_SIZE]);

/** "3.80 m": metres, up to the next 5 cm. Returns text. */
const char *length_text_m_up(length x, char text[static LENGTH_TEXT_SIZE]);

/** With its unit: inches to the nearest 1/den ("2 1/2 in") or centimetres to the nearest
 *  millimetre ("6.4 cm"). Returns text. */
const char *length_text(length x, length_system system, int den,
                        char text[static LENGTH_TEXT_SIZE]);
