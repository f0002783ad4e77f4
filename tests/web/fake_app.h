/* tests/web/fake_app.h: a stand-in for app, so that the server is tested by itself. It
 * keeps no book: what it answers is what it was asked. */
#pragma once

#include "app/app.h"

/** Free with fake_app_free(). */
app *fake_app_new(void);
void fake_app_free(app *self);

/** The token of a device that is paired from the start. */
#define FAKE_APP_TOKEN "let-in"

/** As if another program had changed the book. */
void fake_app_change(app *self);

/** How often the basket was worked out. */
int fake_app_baskets(app *self);

/** How many calls of actions and renders are going on. */
int fake_app_running(app *self);
