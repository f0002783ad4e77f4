/* draw/words.h: the words on paper, in the language that the maker reads. */
#pragma once

#include "base/length.h"

typedef enum draw_language { DRAW_ENGLISH, DRAW_GERMAN } draw_language;

/** "de" is German, all else (and NULL) English. */
draw_language draw_language_of(const char *tag);

/** Room for a thing that is counted. */
enum { DRAW_COUNTED_SIZE = 48 };

/** Marks words that stand in a table and are looked up with draw_words_of(). */
#define DRAW_WORDS(english) english

/** The English sentence in that language, with the same conversions in the same order. A
 *  test holds that each such sentence has its German. */
const char *draw_words(draw_language language, const char *english) G_GNUC_FORMAT(2);

/** The same for a text that comes from elsewhere: a role, a part, a kind of block. What
 * has no words of its own, as names that she gave, comes back unchanged. */
const char *draw_words_of(draw_language language, const char *text);

/** A colour by the program's name for it, "dark teal"; names that she gave come back as
 * they are. Free with g_free(). */
char *draw_fabric_words(draw_language language, const char *name);

/** "1 square", "12 squares": both words are looked up. Returns text. */
const char *draw_counted(draw_language language, int n, const char *one, const char *many,
                         char text[static DRAW_COUNTED_SIZE]);

/** "30 November 2026", "30. November 2026": the day of a moment in Unix time, where the
 *  program runs. Free with g_free(). */
char *draw_day(draw_language language, int64_t at);

/** As length_text() and its kin, with the decimal comma and the units of the language.
 * Each returns text. */
const char *draw_length(draw_language language, length x, length_system system, int den,
                        char text[static LENGTH_TEXT_SIZE]);
/** The size that squares are cut to keeps the system that it was made in, as on the page:
 *  "2 1/2 in", "50 mm", whatever the system of the book. */
const char *draw_unit(draw_language language, length x,
                      char text[static LENGTH_TEXT_SIZE]);
const char *draw_length_yd_up(draw_language language, length x,
                              char text[static LENGTH_TEXT_SIZE]);
const char *draw_length_m_up(draw_language language, length x,
                             char text[static LENGTH_TEXT_SIZE]);
