/* cli/text-internal.h: documents as text for people. Each prints one document of app. */
#pragma once

#include <jansson.h>
#include <stdio.h>

void cli_text_file(const json_t *document, FILE *out);
void cli_text_done(const json_t *document, FILE *out);
void cli_text_copies(const json_t *document, FILE *out);
void cli_text_salvage(const json_t *document, FILE *out);
void cli_text_measure(const json_t *document, FILE *out);
void cli_text_scraps(const json_t *document, FILE *out); /* one, or a list of them */
void cli_text_cut(const json_t *document, FILE *out);
void cli_text_basket(const json_t *document, FILE *out);
void cli_text_designs(const json_t *document, FILE *out);
void cli_text_design(const json_t *document, FILE *out);
void cli_text_plan(const json_t *document, FILE *out);
void cli_text_buy(const json_t *document, FILE *out);
void cli_text_quilt(const json_t *document, FILE *out);
void cli_text_quilts(const json_t *document, FILE *out);
void cli_text_next(const json_t *document, FILE *out);
void cli_text_arrange(const json_t *document, FILE *out);
void cli_text_place(const json_t *document, FILE *out);
void cli_text_made(const json_t *document, FILE *out);
void cli_text_sew(const json_t *document, FILE *out);
void cli_text_assemble(const json_t *document, FILE *out);
void cli_text_finish(const json_t *document, FILE *out);
void cli_text_wants(const json_t *document, FILE *out);
void cli_text_years(const json_t *document, FILE *out);
void cli_text_story(const json_t *document, FILE *out);
void cli_text_forecast(const json_t *document, FILE *out);
void cli_text_record(const json_t *document, FILE *out);
void cli_text_fabrics(const json_t *document, FILE *out);
void cli_text_sources(const json_t *document, FILE *out);
void cli_text_fabric(const json_t *document, FILE *out);
void cli_text_rulers(const json_t *document, FILE *out);
void cli_text_pile(const json_t *document, FILE *out);
void cli_text_open(const json_t *document, FILE *out);
void cli_text_pair(const json_t *document, FILE *out);
void cli_text_devices(const json_t *document, FILE *out);
void cli_text_tools(const json_t *document, FILE *out);
void cli_text_backgrounds(const json_t *document, FILE *out);
void cli_text_reuse(const json_t *document, FILE *out);
void cli_text_beds(const json_t *document, FILE *out);
