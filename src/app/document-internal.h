/* app/document-internal.h: the pieces that documents are made of. All return new
 * references. */
#pragma once

#include "app-internal.h"
#include "colour/signature.h"
#include "scrap/outline.h"

/** Decimal inches. */
json_t *app_document_inches(length x);
/** [width, height] */
json_t *app_document_size(length width, length height);
/** [[x, y], ...] */
json_t *app_document_points(int count, const scrap_point points[]);
/** "2026-11-24T18:05:00Z"; null for 0. */
json_t *app_document_time(int64_t at);
/** [r, g, b] of a CIELAB colour. */
json_t *app_document_srgb(const colour_lab *lab);
/** The field "srgb" of a document read back; a light grey where there is none. */
colour_srgb8 app_document_srgb_of(const json_t *document);
/** [{lab, srgb, share, name}, ...] */
json_t *app_document_colours(const colour_signature *signature);
/** "light", "medium", "dark"; null for -1. */
json_t *app_document_value(int value);
/** An id, or null for 0. */
json_t *app_document_id(int64_t id);
/** {"done": what} */
json_t *app_document_done(const char *what);

/** "2 squares" or "1 square": the count and its word. Free with g_free(). */
char *app_document_count(int64_t count, const char *word);
