/* app/paper-internal.h: the forms in which a sheet is written. */
#pragma once

#include "app-internal.h"
#include "draw/scene.h"

/** PDF holds all pages; of the others each is a file. */
typedef struct app_paper {
    const char *ending, *type; /* ".pdf", "application/pdf" */
    bool whole;
    GBytes *(*write)(const draw_scene *scene, int page, GError **error);
} app_paper;

/** The form by a file's ending; PDF where it is none of them. */
const app_paper *app_paper_named(const char *file);
